// The little that every part needs of the document. Each writes only when
// something changed: ten frames a second must not disturb a reader or a layout.

/**
 * @param {string} id
 * @returns {HTMLElement}
 */
export function byId(id) {
  const el = document.getElementById(id);
  if (!el) throw new Error("the page has no #" + id);
  return el;
}

/**
 * @param {HTMLElement} el
 * @param {string} text
 */
export function say(el, text) {
  if (el.textContent !== text) el.textContent = text;
}

/**
 * @param {HTMLElement} el
 * @param {boolean} shown
 */
export function show(el, shown) {
  if (el.hidden === shown) el.hidden = !shown;
}

/**
 * Runs draw when key differs from last time.
 * @param {(key: string) => void} draw
 */
export function whenChanged(draw) {
  /** @type {string|null} */
  let last = null;
  return (/** @type {string} */ key) => {
    if (key !== last) {
      last = key;
      draw(key);
    }
  };
}

/**
 * A new element with a class and text.
 * @param {string} tag
 * @param {string} [name]
 * @param {string} [text]
 */
export function make(tag, name, text) {
  const el = document.createElement(tag);
  if (name) el.className = name;
  if (text) el.textContent = text;
  return el;
}
