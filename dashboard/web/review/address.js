// What is in sight, as the page's address: so that it can be sent to somebody, and
// the browser's back works.

const rest = 250; // ms; browsers take only so many changes of an address

/**
 * @typedef {{from: number|null, until: number|null, finding: number, beside: number, align: number}} View
 *   from and until are null for the whole service; finding and beside 0 for none;
 *   align is the segment of this service by which the other is aligned, 0 for the start
 */

/** @returns {View} */
export function read() {
  const query = new URLSearchParams(location.search);
  const number = (/** @type {string} */ name) => {
    const value = query.get(name);
    return value === null || !Number.isFinite(Number(value)) ? null : Number(value);
  };
  return {
    from: number("from"), until: number("until"), finding: number("finding") ?? 0, beside: number("beside") ?? 0, align: number("align") ?? 0,
  };
}

/** @param {View} view */
function write(view) {
  const query = new URLSearchParams();
  for (const [name, value] of Object.entries(view)) if (value) query.set(name, String(Math.round(value * 10) / 10));
  if (view.from === 0 && view.until !== null) query.set("from", "0");
  const search = String(query);
  return location.pathname + (search ? "?" + search : "");
}

/** @type {number|undefined} */
let waiting;

/**
 * Changes the address once the view rests.
 * @param {() => View} view
 */
export function replace(view) {
  clearTimeout(waiting);
  waiting = setTimeout(() => history.replaceState(null, "", write(view())), rest);
}

/**
 * Adds a step that back goes back from.
 * @param {View} before what back comes back to
 * @param {View} after
 */
export function push(before, after) {
  clearTimeout(waiting);
  history.replaceState(null, "", write(before));
  history.pushState(null, "", write(after));
}
