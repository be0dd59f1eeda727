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
 * Says something else in the same node: a new one costs the styles of all around it, and
 * only where there is nothing to say is there none.
 * @param {HTMLElement} el
 * @param {string} text
 */
export function say(el, text) {
  const had = el.firstChild;
  if (had instanceof Text && !had.nextSibling && text !== "") {
    if (had.data !== text) had.data = text;
  } else if (el.textContent !== text) el.textContent = text;
}

/**
 * @param {HTMLElement} el
 * @param {boolean} shown
 */
export function show(el, shown) {
  if (el.hidden === shown) el.hidden = !shown;
}

/** @type {WeakMap<HTMLElement, Record<string, string>>} */
const written = new WeakMap();

/**
 * Whether this is another value than what was last written under the name. To remember is
 * less than to ask the document.
 * @param {HTMLElement} el
 * @param {string} name
 * @param {string} value
 */
function isNew(el, name, value) {
  let had = written.get(el);
  if (!had) written.set(el, (had = {}));
  if (had[name] === value) return false;
  had[name] = value;
  return true;
}

/**
 * Puts one edge of an element somewhere else.
 * @param {HTMLElement} el
 * @param {"left"|"right"|"width"} edge
 * @param {string} at
 */
export function put(el, edge, at) {
  if (isNew(el, edge, at)) el.style[edge] = at;
}

/**
 * An attribute that nothing else writes.
 * @param {HTMLElement} el
 * @param {string} name
 * @param {string} value
 */
export function set(el, name, value) {
  if (isNew(el, name, value)) el.setAttribute(name, value);
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
