// The page's own fixed texts, in the reader's language: from the catalogue that the
// sentences come from.

import { say } from "./dom.js";

/** @type {Record<string, string>} */
let texts = JSON.parse(document.getElementById("labels")?.textContent || "{}");

/**
 * A text, with what stands in it in braces put in.
 * @param {string} id
 * @param {Record<string, string>} [put]
 */
export function label(id, put = {}) {
  const text = texts[id];
  if (text === undefined) throw new Error("no label " + id);
  return fill(text, put);
}

/**
 * A text of the catalogue with its braces filled.
 * @param {string} text
 * @param {Record<string, string>} put
 */
export function fill(text, put) {
  return Object.entries(put).reduce((filled, [name, value]) => filled.split(`{${name}}`).join(value), text);
}

/**
 * From now on in another language, also where the page itself says something.
 * @param {Record<string, string>} other
 */
export function relabel(other) {
  texts = other;
  for (const el of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-label]"))) {
    const text = label(/** @type {string} */ (el.dataset.label));
    if (el.hasAttribute("aria-label")) el.setAttribute("aria-label", text);
    else say(el, text);
  }
}
