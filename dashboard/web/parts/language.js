// The reader's language, where there are several to choose from.

import { byId, make, show, whenChanged } from "../dom.js";

/**
 * @param {import("../types.js").Hands} hands
 * @returns {(view: import("../types.js").View) => void}
 */
export function language({ choose }) {
  const select = /** @type {HTMLSelectElement} */ (byId("language"));
  /** @type {import("../frames.js").Language[]} */
  let all = [];
  const fill = whenChanged(() => select.replaceChildren(...all.map(option)));
  select.onchange = () => choose(select.value);
  return (view) => {
    all = view.languages;
    fill(all.map((one) => one.tag).join());
    show(select, all.length > 1);
    // Whoever is choosing just now is not disturbed.
    if (select.value !== view.language && document.activeElement !== select) select.value = view.language;
    if (document.documentElement.lang !== view.language) document.documentElement.lang = view.language;
  };
}

/** @param {import("../frames.js").Language} one */
function option({ tag, name }) {
  const el = /** @type {HTMLOptionElement} */ (make("option", "", name));
  el.value = el.lang = tag;
  return el;
}
