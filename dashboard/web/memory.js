// Ten minutes of the tide and of the moves in it, as the entries bring them.

/**
 * @typedef {import("./frames.js").Entry} Entry
 * @typedef {import("./frames.js").Second} Second
 * @typedef {import("./frames.js").Moved} Moved
 * @typedef {{seconds: Second[], moves: Moved[]}} Stretch what was measured from one mark
 */

const kept = 600; // seconds

/** @type {Moved["kind"][]} */
const steps = ["raise", "lower", "return"]; // what a hand did to the level; a cue is none

/** @type {Stretch} */
const nothing = { seconds: [], moves: [] };

/** @returns {Stretch & {take: (f: import("./frames.js").Frame) => void}} */
export function newMemory() {
  let before = nothing; // the stretch that the newest mark ended
  return {
    ...nothing,
    take({ frame, now, entries }) {
      /** @type {Stretch} */
      let here = frame === "whole" ? nothing : this;
      let from = 0;
      for (const [i, e] of entries.entries()) {
        if (e.entry !== "mark" && e.entry !== "house") continue;
        const ended = joined(here, entries.slice(from, i));
        // What was before a mark was measured from another one, and is so again when that
        // mark is taken back.
        const back = e.entry === "mark" && e.back;
        here = back ? { seconds: before.seconds, moves: before.moves.concat(ended.moves) } : nothing;
        before = back || e.entry === "house" ? nothing : ended;
        from = i + 1;
      }
      here = joined(here, entries.slice(from));
      // The oldest goes when the newest comes and not a beat later, so that what is drawn of
      // the list is drawn once a second; where no second comes any more, with the time.
      const newest = Math.max(here.seconds.at(-1)?.t ?? 0, now.t - 1.5);
      this.seconds = recent(here.seconds, newest - kept);
      this.moves = recent(here.moves, newest - kept);
    },
  };
}

/**
 * A stretch with what came; the same lists again where nothing did, so that a part can tell.
 * @param {Stretch} had
 * @param {Entry[]} fresh
 * @returns {Stretch}
 */
function joined({ seconds, moves }, fresh) {
  const more = fresh.filter((e) => e.entry === "second");
  const moved = fresh.filter((e) => e.entry === "move").filter((m) => steps.includes(m.kind));
  return { seconds: more.length > 0 ? seconds.concat(more) : seconds, moves: moved.length > 0 ? moves.concat(moved) : moves };
}

/**
 * @template {{t: number}} T
 * @param {T[]} all
 * @param {number} oldest
 */
function recent(all, oldest) {
  return all.length > 0 && all[0].t < oldest ? all.filter((one) => one.t >= oldest) : all;
}
