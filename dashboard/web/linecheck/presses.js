// What was pressed on this page, and how it went.

import { label } from "../labels.js";
import { ask } from "../language.js";

const patience = 4000; // ms for an answer

/**
 * @typedef {import("../frames.js").LinePress} LinePress
 * @typedef {(what: LinePress["do"], input?: number) => void} Press
 * @typedef {{waiting: () => boolean, refused: () => string, press: Press}} LinePresses
 */

/**
 * @param {() => void} changed
 * @returns {LinePresses}
 */
export function newPresses(changed) {
  let waiting = false;
  let refused = "";

  /**
   * @param {LinePress["do"]} what
   * @param {number} [input]
   */
  async function press(what, input) {
    if (waiting) return;
    waiting = true;
    refused = "";
    try {
      const body = JSON.stringify(input ? { do: what, input } : { do: what });
      const headers = { "Content-Type": "application/json" };
      const answer = await fetch(ask("/api/linecheck"), { method: "POST", body, headers, signal: AbortSignal.timeout(patience) });
      refused = (await answer.json()).refused;
    } catch {
      refused = label("out-of-reach");
    }
    waiting = false;
    changed();
  }

  return { waiting: () => waiting, refused: () => refused, press };
}
