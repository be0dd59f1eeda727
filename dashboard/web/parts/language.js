// The reader's language, where there are several to choose from. The server filled the
// choice, and writes the page anew in what is chosen.

import { byId, show } from "../dom.js";
import { remember } from "../language.js";

/** @returns {() => void} */
export function language() {
  const select = /** @type {HTMLSelectElement} */ (byId("language"));
  show(select, select.options.length > 1);
  // A phone's foot has no room for the whole word.
  if (matchMedia("(max-width: 899px)").matches) document.getElementById("elsewhere")?.append(select);
  select.onchange = () => {
    remember(select.value);
    location.reload();
  };
  return () => {};
}
