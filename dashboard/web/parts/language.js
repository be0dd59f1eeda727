// The reader's language, where there are several to choose from. The server filled the
// choice, and writes the page anew in what is chosen.

import { byId, show } from "../dom.js";
import { remember } from "../language.js";

/** @returns {() => void} */
export function language() {
  const select = /** @type {HTMLSelectElement} */ (byId("language"));
  show(select, select.options.length > 1);
  select.onchange = () => {
    remember(select.value);
    location.reload();
  };
  return () => {};
}
