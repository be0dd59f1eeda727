// The language that this reader chose; the house's if none.

const key = "language";

/** @param {string} tag */
export const remember = (tag) => localStorage.setItem(key, tag);

/** The language's tag, or "" if the reader chose none. */
export const chosen = () => localStorage.getItem(key) ?? "";

/**
 * An address that asks for the reader's language, and says as whom if not as anybody.
 * @param {string} path
 * @param {string} [as]
 */
export function ask(path, as = "") {
  const asked = new URLSearchParams();
  if (as) asked.set("as", as);
  if (chosen()) asked.set("lang", chosen());
  return asked.size > 0 ? `${path}?${asked}` : path;
}
