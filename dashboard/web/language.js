// The language that this reader chose; the house's if none.

const key = "language";

/** @param {string} tag */
export const remember = (tag) => localStorage.setItem(key, tag);

/**
 * An address that asks for the reader's language.
 * @param {string} path
 */
export function ask(path) {
  const tag = localStorage.getItem(key);
  return tag ? path + "?lang=" + encodeURIComponent(tag) : path;
}
