// The page's own fixed texts, in the reader's language: from the catalogue that the
// sentences come from.

/** @type {Record<string, string>} */
const texts = JSON.parse(document.getElementById("labels")?.textContent || "{}");

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
 * Whether there is such a text.
 * @param {string} id
 */
export const has = (id) => id in texts;

/**
 * The words that have a gloss, and what they mean.
 * @returns {{words: string[], means: string}[]}
 */
export function glosses() {
  const ids = Object.keys(texts).filter((id) => id.startsWith("gloss.") && id.endsWith(".words"));
  return ids.map((id) => ({ words: texts[id].split(", "), means: texts[id.slice(0, -".words".length) + ".means"] }));
}

/**
 * A text of the catalogue with its braces filled.
 * @param {string} text
 * @param {Record<string, string>} put
 */
export function fill(text, put) {
  return Object.entries(put).reduce((filled, [name, value]) => filled.split(`{${name}}`).join(value), text);
}
