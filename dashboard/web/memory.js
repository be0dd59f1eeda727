// Ten minutes of the tide and of the moves in it, as the entries bring them.

/**
 * @typedef {import("./frames.js").Second} Second
 * @typedef {import("./frames.js").Moved} Moved
 */

const kept = 600; // seconds

/** @type {Moved["kind"][]} */
const steps = ["raise", "lower", "return"]; // what a hand did to the level; a cue is none

/** @returns {{seconds: Second[], moves: Moved[], take: (f: import("./frames.js").Frame) => void}} */
export function newMemory() {
  return {
    seconds: [],
    moves: [],
    take({ frame, now, entries }) {
      // What was before the newest mark was measured from another one.
      const begins = entries.findLastIndex((e) => e.entry === "mark" || e.entry === "house") + 1;
      const fresh = entries.slice(begins);
      const anew = frame === "whole" || begins > 0;
      const oldest = now.t - kept;
      this.seconds = recent(anew ? [] : this.seconds, fresh.filter((e) => e.entry === "second"), oldest);
      this.moves = recent(anew ? [] : this.moves, fresh.filter((e) => e.entry === "move").filter((m) => steps.includes(m.kind)), oldest);
    },
  };
}

/**
 * The same list again when nothing is new, so that a part can tell.
 * @template {{t: number}} T
 * @param {T[]} had
 * @param {T[]} fresh
 * @param {number} oldest
 */
function recent(had, fresh, oldest) {
  if (fresh.length === 0 && (had.length === 0 || had[0].t >= oldest)) return had;
  return had.concat(fresh).filter((one) => one.t >= oldest);
}
