// The one thing to try: what to do stands out of what it leads to.

import { make } from "../dom.js";
import { said } from "../words.js";

/**
 * @param {import("../frames.js").Finding} finding
 * @returns {(string|Node)[]}
 */
export function suggestion(finding) {
  const words = said(finding);
  if (!words.try) return [];
  return [make("b", "", "Try: "), make("span", "act", words.try), words.then && " " + words.then];
}
