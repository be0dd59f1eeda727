// What the operator pressed, and how it went.

import { label } from "./labels.js";

const regret = 5000; // ms in which a card can be brought back
const takesOff = ["seen", "not-now"];
const patience = 3000; // ms for an answer before a button may be pressed again

/**
 * @typedef {{asked: (what: string, number: number) => boolean, refused: (what: string, number: number) => string,
 *   done: (what: string) => boolean, off: () => number, press: (what: import("./frames.js").Press["do"], number: number, more?: Partial<import("./frames.js").Press>) => void,
 *   answer: (a: import("./frames.js").Answer) => void}} Presses
 */

/**
 * @param {(c: import("./frames.js").Press) => boolean} send
 * @param {() => void} changed
 * @returns {Presses}
 */
export function newPresses(send, changed) {
  /** @type {{what: string, number: number, at: number, state: "asked"|"done"|"refused", why: string}|null} */
  let latest = null;
  const is = (/** @type {string} */ what, /** @type {number} */ number) =>
    latest !== null && latest.what === what && latest.number === number;

  return {
    asked: (what, number) => is(what, number) && latest?.state === "asked",
    refused: (what, number) => (is(what, number) && latest?.state === "refused" ? latest.why : ""),
    // The finding that was just taken off the screen, while that can be taken back; or 0.
    off: () => (latest?.state === "done" && takesOff.includes(latest.what) && Date.now() - latest.at < regret ? latest.number : 0),
    done: (what) => latest?.what === what && latest.state === "done" && Date.now() - latest.at < patience,
    press(what, number, more = {}) {
      const sent = send({ do: what, number, ...more });
      const why = sent ? "" : label("out-of-reach");
      latest = { what, number, at: Date.now(), state: sent ? "asked" : "refused", why };
      changed();
      setTimeout(() => {
        if (latest?.state === "asked" && is(what, number)) {
          latest.state = "refused";
          latest.why = label("no-answer");
        }
        changed();
      }, patience);
    },
    answer(a) {
      if (latest === null || !is(a.do, a.number)) return;
      latest.state = a.refused ? "refused" : "done";
      latest.why = a.refused;
      latest.at = Date.now();
      changed();
    },
  };
}
