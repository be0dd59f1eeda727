// What was pressed on this page, and how it went.

import { label } from "../labels.js";
import { ask } from "../language.js";

const patience = 4000; // ms for an answer

/**
 * @typedef {import("../frames.js").FirstPress} FirstPress
 * @typedef {{waiting: () => boolean, refused: () => string, press: (press: FirstPress) => Promise<boolean>}} FirstPresses
 *   press tells whether it was obeyed
 */

/**
 * @param {() => void} changed
 * @returns {FirstPresses}
 */
export function newPresses(changed) {
  let waiting = false;
  let refused = "";

  /** @param {FirstPress} press */
  async function send(press) {
    if (waiting) return false;
    waiting = true; // a second tap is the same wish
    refused = "";
    document.body.setAttribute("aria-busy", "true");
    try {
      const headers = { "Content-Type": "application/json" };
      const answer = await fetch(ask("/api/first"), { method: "POST", body: JSON.stringify(press), headers, signal: AbortSignal.timeout(patience) });
      refused = (await answer.json()).refused;
    } catch {
      refused = label("out-of-reach");
    }
    waiting = false;
    document.body.removeAttribute("aria-busy");
    changed();
    return refused === "";
  }

  return { waiting: () => waiting, refused: () => refused, press: send };
}
