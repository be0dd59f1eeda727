// The way to the other pages and to another language: what nobody needs while mixing,
// behind one button.

import { byId } from "../dom.js";

/** @returns {() => void} */
export function pages() {
  const place = /** @type {HTMLDetailsElement} */ (byId("pages"));
  const close = () => (place.open = false);
  // Whatever is pressed elsewhere closes it, and so does Escape, without losing the focus.
  document.addEventListener("pointerdown", (event) => place.contains(/** @type {Node} */ (event.target)) || close());
  place.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    close();
    byId("pages-summary").focus();
  });
  byId("language").addEventListener("change", close);
  return () => {};
}
