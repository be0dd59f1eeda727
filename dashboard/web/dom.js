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

/**
 * One element for each item, in the items' order. Those still wanted stay where
 * they are, so that a line can be selected and read while its figures change.
 * @template T
 * @param {HTMLElement} list
 * @param {(item: T) => string} key
 * @param {() => {el: HTMLElement, write: (item: T) => void}} fresh
 * @returns {(items: T[]) => void}
 */
export function rows(list, key, fresh) {
  /** @type {Map<string, {el: HTMLElement, write: (item: T) => void}>} */
  const kept = new Map();
  return (items) => {
    const wanted = new Set(items.map(key));
    for (const [k, row] of kept) {
      if (wanted.has(k)) continue;
      row.el.remove();
      kept.delete(k);
    }
    let at = list.firstElementChild;
    for (const item of items) {
      const row = kept.get(key(item)) ?? fresh();
      kept.set(key(item), row);
      row.write(item);
      if (row.el === at) at = at.nextElementSibling;
      else list.insertBefore(row.el, at);
    }
  };
}
