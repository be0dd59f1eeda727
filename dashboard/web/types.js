// The shapes that FRAMES.md describes, for the type checker. Nothing runs here.

/**
 * @typedef {{t: number, total: number|null, rise: number|null, faders: number|null, stage: number|null}} Tide
 * @typedef {{t: number, who: string, by: number|null}} Step
 * @typedef {{t: number, what: string, who: string}} Evidence
 * @typedef {{number: number, rule: string, weight: "whisper"|"nudge"|"now", phase: "open"|"grew"|"eased",
 *   t: number, text: string, try: string, evidence: Evidence[]}} Card
 * @typedef {{name: string, reduction: number|null, low: number|null, high: number|null, source: string, active: boolean}} Squeeze
 * @typedef {{element: string, primary: string, present: boolean}} Part
 * @typedef {{kind: string, text: string}} Notice
 * @typedef {{phase: "waiting"|"hearing"|"quiet"|"not-understood", age: number, desk: string, text: string,
 *   packets: number, example: string}} Link
 * @typedef {{t: number, total: number|null, how: string}} Mark
 * @typedef {{faders: number|null, stage: number|null, groups: number|null, main: number|null}} Split
 *
 * @typedef {{t: number, timeOfDay: string, house: string, basis: string, confidence: string, link: Link,
 *   total: number|null, mark: Mark, rise: number|null, split: Split, sentence: string,
 *   card: Card|null, line: Card|null, groups: Squeeze[], elements: Part[], notices: Notice[]}} State
 *
 * @typedef {{frame: "whole"|"beat", page?: string, state: State, tide: Tide[], steps: Step[]}} Frame
 * @typedef {{frame: "answer", do: string, number: number, refused: string}} Answer
 * @typedef {{do: "seen"|"not-now"|"mark", number: number}} Command
 */

/**
 * How this page stands with the daemon. `since` is how many seconds ago the last
 * frame came, and counts only while not live.
 * @typedef {{live: boolean, since: number}} Contact
 */

/**
 * All that a part may draw from. `state` is null until the first frame.
 * @typedef {{state: State|null, tide: Tide[], steps: Step[], contact: Contact,
 *   presses: import("./presses.js").Presses, awake: boolean}} View
 */

/**
 * What /api/setup answers.
 * @typedef {{file: string, line: number, col: number, path: string, text: string, hint: string, advice: boolean}} Fault
 * @typedef {{shape: string, types: string, example: string, range: string, count: number, rate: number, age: number,
 *   heard: string}} Arriving
 * @typedef {{number: number, name: string, element: string, fader: {db: number|null}|null,
 *   level: {dbfs: number|null}|null, muted: boolean, age: number}} Strip
 * @typedef {{page: string, t: number, house: string, desk: string, link: Link, faults: Fault[], faultsAge: string,
 *   arriving: Arriving[], more: number, messages: number, unmapped: number, malformed: number,
 *   inputs: Strip[], dcas: Strip[], groups: Strip[], main: Strip}} Setup
 */

/**
 * All that a part of the setup page may draw from. `setup` is null until the first
 * answer, and `refused` then says why there is none, if the daemon said.
 * `timeOfDay` is when `setup` was fresh, on this screen's own clock.
 * @typedef {{setup: Setup|null, refused: string, timeOfDay: string, contact: Contact,
 *   moved: import("./setup/moves.js").Moved|null}} SetupView
 */

export {};
