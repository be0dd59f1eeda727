// What a service came to in figures, each with the sentence that defines it, and two
// services beside one another.

import { byId, make, show } from "../dom.js";
import { label } from "../labels.js";

/**
 * @typedef {import("../frames.js").ReviewOne} One
 * @typedef {import("../frames.js").ReviewFigure} Figure
 */

/** @param {Figure} figure */
const value = (figure) => (figure.value === null ? figure.why || figure.text : figure.text);

/** @param {One} one */
export function figures(one) {
  show(byId("figures"), one.figures.length > 0);
  show(byId("figure-limits"), one.limits.length > 0);
  byId("figure-limits").textContent = one.limits.length > 0 ? `${label("limits-heading")} ${one.limits.join(" ")}` : "";
  byId("figure-list").replaceChildren(...one.figures.flatMap((figure) => {
    const what = make("dd");
    what.append(make("b", "", value(figure)));
    for (const part of figure.parts) what.append(make("span", "", part.text));
    what.append(make("small", "", figure.means));
    return [make("dt", "", figure.title), what];
  }));
}

/**
 * @param {One} one
 * @param {One|null} other
 * @param {string} name what the other is called
 */
export function compared(one, other, name) {
  show(byId("compared"), other !== null && one.figures.length > 0);
  if (!other) return;
  byId("compared-other").textContent = name;
  byId("compared-rows").replaceChildren(...one.figures.map((figure) => {
    const same = other.figures.find((f) => f.name === figure.name && f.about === figure.about);
    const row = make("tr");
    const head = /** @type {HTMLTableCellElement} */ (make("th", "", figure.title));
    head.scope = "row";
    row.append(head, make("td", "", value(figure)), make("td", "", same ? value(same) : "–"));
    return row;
  }));
}
