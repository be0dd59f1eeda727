// The page's own shapes, for the type checker; those that come from the server are in
// frames.js. Nothing runs here.

/**
 * How this page stands with the daemon. `since` is how many seconds ago the last
 * news came, and counts only while not live; null if the tablet slept or its clock was set since.
 * @typedef {{live: boolean, since: number|null}} Contact
 */

/**
 * All that a part may draw from. `now` is null until the first frame; `seconds` and
 * `moves` are those since the mark, of the last ten minutes; `ledger` and `book` are null but on
 * the coach's page; `opened` is the number of the whisper of which somebody asked more, or 0;
 * `regret` is what can be taken back just now; `language` is the one that the page and the frames'
 * words are in.
 * @typedef {{now: import("./frames.js").Now|null, seconds: import("./frames.js").Second[], moves: import("./frames.js").Moved[],
 *   ledger: import("./frames.js").Ledger|null, book: import("./frames.js").Book|null, opened: number, language: string, contact: Contact,
 *   presses: import("./presses.js").Presses, regret: import("./regret.js").Regret|null, awake: boolean}} View
 */

/**
 * What a part may do besides drawing.
 * @typedef {{press: import("./presses.js").Presses["press"], regrets: import("./regret.js").Regrets,
 *   open: (number: number) => void}} Hands
 */

/**
 * All that a part of the setup page may draw from. `setup` is null until the first
 * answer, and `refused` then says why there is none, if the daemon said.
 * `timeOfDay` is when `setup` was fresh, on this screen's own clock.
 * @typedef {{setup: import("./frames.js").SetupAnswer|null, refused: string, timeOfDay: string, contact: Contact,
 *   moved: import("./setup/moves.js").Moved|null}} SetupView
 */

/**
 * All that a part of the line check's page may draw from; like SetupView. `presses` is
 * what was pressed here, and how it went.
 * @typedef {{check: import("./frames.js").LineAnswer|null, refused: string, timeOfDay: string, contact: Contact,
 *   presses: import("./linecheck/presses.js").LinePresses}} LineView
 */

export {};
