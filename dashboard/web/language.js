// The language that this reader chose; the house's if none.

const key = "language";

/** @param {string} tag */
export const remember = (tag) => localStorage.setItem(key, tag);

/** The language's tag, or "" if the reader chose none. */
export const chosen = () => localStorage.getItem(key) ?? "";

/**
 * An address that asks for the reader's language.
 * @param {string} path
 */
export function ask(path) {
  const tag = chosen();
  return tag ? path + "?lang=" + encodeURIComponent(tag) : path;
}
