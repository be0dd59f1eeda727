// All that Pawl said in a service, as a table: what came to the screen, and folded away
// what did not.

import { byId, make, say, show } from "../dom.js";
import { count, said } from "../words.js";
import { hour, weights } from "./said.js";

/** @typedef {import("../frames.js").Told} Told */

/** @param {{open: (number: number) => void}} to */
export function told({ open }) {
  const rows = byId("said-rows");
  const more = /** @type {HTMLButtonElement} */ (byId("said-more"));
  let all = false;
  /** @type {(() => void)|null} */
  let again = null;
  more.onclick = () => {
    all = !all;
    again?.();
  };
  /**
   * @param {import("../frames.js").ReviewOne} one
   * @param {number} opened
   */
  const draw = (one, opened) => {
    again = () => draw(one, opened);
    const list = one.timeline.told;
    const off = list.filter((f) => !f.said.shown);
    say(byId("said-lead"), leadWords(list, off.length));
    rows.replaceChildren(...list.filter((f) => all || f.said.shown).map((f) => {
      const tr = make("tr");
      tr.dataset.weight = f.said.weight;
      tr.toggleAttribute("data-off", !f.said.shown);
      tr.toggleAttribute("data-open", f.number === opened);
      const when = make("th", "", hour(one.service, f.from));
      /** @type {HTMLTableCellElement} */ (when).scope = "row";
      const what = make("td");
      const button = /** @type {HTMLButtonElement} */ (make("button", "finding-row", said(f.said).what[0] || f.said.rule));
      button.type = "button";
      button.dataset.number = String(f.number);
      if (f.number === opened) button.setAttribute("aria-current", "true");
      button.append(make("small", "", ` ${f.said.shown ? weights[f.said.weight] : "stayed off the screen"}`));
      button.onclick = () => open(f.number);
      what.append(button);
      tr.append(when, what);
      return tr;
    }));
    show(byId("said-table"), rows.childElementCount > 0);
    show(more, off.length > 0);
    say(more, all ? "Hide what stayed off the screen" : `Show ${count(off.length, "more that stayed off the screen", "more that stayed off the screen")}`);
    more.ariaExpanded = String(all);
  };
  return draw;
}

/**
 * @param {Told[]} list
 * @param {number} off
 */
function leadWords(list, off) {
  if (list.length === 0) return "Pawl had nothing to say in this service.";
  const on = list.length - off;
  return on ? `${count(on, "thing")} came to the screen. Tap one to see how it came about.` : "Nothing came to the screen.";
}
