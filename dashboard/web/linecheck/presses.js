// What was pressed on this page, and how it went.

import { post } from "../post.js";

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
    refused = await post("/api/linecheck", input ? { do: what, input } : { do: what });
    waiting = false;
    changed();
  }

  return { waiting: () => waiting, refused: () => refused, press };
}
