// What the operator pressed, and how it went.

import { label } from "./labels.js";

const patience = 3000; // ms for an answer before a button may be pressed again

/**
 * @typedef {{asked: (what: string, number: number) => boolean, refused: (what: string, number: number) => string,
 *   press: (what: import("./frames.js").Press["do"], number: number, more?: Partial<import("./frames.js").Press>) => void,
 *   answer: (a: import("./frames.js").Answer) => void}} Presses
 */

/**
 * @param {(c: import("./frames.js").Press) => boolean} send
 * @param {() => void} changed
 * @param {import("./regret.js").Regrets} regrets
 * @returns {Presses}
 */
export function newPresses(send, changed, regrets) {
  /** @type {{what: string, number: number, state: "asked"|"done"|"refused", why: string}|null} */
  let latest = null;
  const is = (/** @type {string} */ what, /** @type {number} */ number) =>
    latest !== null && latest.what === what && latest.number === number;
  /**
   * @param {string} what
   * @param {number} number
   */
  function offer(what, number) {
    if (what === "mark") regrets.offer({ said: label("marked"), take: label("back"), undo: () => own.press("mark-back", 0) });
    if (what === "seen" || what === "not-now") regrets.offer({ said: label("taken-off"), take: label("bring-back"), undo: () => own.press("bring-back", number) });
  }

  /** @type {Presses} */
  const own = {
    asked: (what, number) => is(what, number) && latest?.state === "asked",
    refused: (what, number) => (is(what, number) && latest?.state === "refused" ? latest.why : ""),
    press(what, number, more = {}) {
      const sent = send({ do: what, number, ...more });
      const why = sent ? "" : label("out-of-reach");
      /** @type {typeof latest} */
      const mine = (latest = { what, number, state: sent ? "asked" : "refused", why });
      changed();
      setTimeout(() => {
        if (latest === mine && mine.state === "asked") {
          mine.state = "refused";
          mine.why = label("no-answer");
        }
        changed();
      }, patience);
    },
    answer(a) {
      if (latest === null || !is(a.do, a.number)) return;
      latest.state = a.refused ? "refused" : "done";
      latest.why = a.refused;
      if (!a.refused) offer(a.do, a.number);
      changed();
    },
  };
  return own;
}
