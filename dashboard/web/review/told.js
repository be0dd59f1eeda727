// All that Pawl said in a service, as a table: what came to the screen, and folded away
// what did not.

import { byId, make, say, show } from "../dom.js";
import { label } from "../labels.js";
import { counted, said } from "../words.js";
import { hour, weightWords } from "./said.js";

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
      button.append(make("small", "", " " + (f.said.shown ? weightWords(f.said) : label("stayed-off"))));
      button.onclick = () => open(f.number);
      what.append(button);
      tr.append(when, what);
      return tr;
    }));
    show(byId("said-table"), rows.childElementCount > 0);
    show(more, off.length > 0);
    say(more, all ? label("hide-off") : counted("show-off", off.length));
    more.ariaExpanded = String(all);
  };
  return draw;
}

/**
 * @param {Told[]} list
 * @param {number} off
 */
function leadWords(list, off) {
  if (list.length === 0) return label("said-nothing");
  const on = list.length - off;
  return on ? counted("said-some", on) : label("nothing-on-screen");
}
