// What was pressed on this page, and how it went.

import { post } from "../post.js";

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
    refused = await post("/api/first", press);
    waiting = false;
    document.body.removeAttribute("aria-busy");
    changed();
    return refused === "";
  }

  return { waiting: () => waiting, refused: () => refused, press: send };
}
