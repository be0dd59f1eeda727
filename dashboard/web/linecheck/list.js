// Everybody else: what is to be mended, who is still to be asked, and, folded away, who
// is done.

import { byId, make, rows, say, show } from "../dom.js";
import { label } from "../labels.js";
import { called, number, whole } from "../words.js";
import { remarkItem } from "./remark.js";

/**
 * @typedef {import("../frames.js").LineInput} LineInput
 * @typedef {import("./presses.js").Press} Press
 */

/**
 * The places of the list: which states stand there, and what a press on a row does.
 * @type {{id: string, states: LineInput["state"][], act: "ask"|"done", press: string}[]}
 */
const places = [
  { id: "mend", states: ["open"], act: "done", press: label("check-leave") },
  { id: "waiting", states: ["waiting", "later"], act: "ask", press: label("check-ask") },
  { id: "unmetered", states: ["unmetered"], act: "done", press: label("check-done") },
  { id: "done", states: ["done"], act: "ask", press: label("check-once-more") },
];

/**
 * @param {Press} press
 * @returns {(view: import("../types.js").LineView) => void}
 */
export function list(press) {
  const sections = places.map(({ id, states, act, press: words }) => {
    const place = byId(id);
    const draw = rows(/** @type {HTMLElement} */ (place.querySelector("ul")), (/** @type {LineInput} */ i) => String(i.who.index), () => row(press, act, words));
    return (/** @type {LineInput[]} */ all) => {
      const some = all.filter((i) => states.includes(i.state));
      draw(some);
      say(/** @type {HTMLElement} */ (place.querySelector("small")), whole(some.length));
      show(place, some.length > 0);
    };
  });
  const desk = byId("desk");
  const remarks = rows(/** @type {HTMLElement} */ (desk.querySelector("ul")), (/** @type {import("../frames.js").LineRemark} */ r) => r.words?.says ?? r.kind, remarkItem);
  byId("end").addEventListener("click", () => press("end"));
  return ({ check }) => {
    show(byId("rest"), check?.on === true);
    if (!check?.on) return;
    for (const draw of sections) draw(check.inputs);
    remarks(check.desk);
    say(/** @type {HTMLElement} */ (desk.querySelector("small")), whole(check.desk.length));
    show(desk, check.desk.length > 0);
    show(byId("end-place"), check.asked > 0); // else it stands in the foot
  };
}

/**
 * @param {Press} press
 * @param {"ask"|"done"} act
 * @param {string} words on its button
 */
function row(press, act, words) {
  const el = make("li", "input");
  const name = make("h3", "name");
  const figures = make("p", "figures");
  const list = make("ul", "remarks");
  const button = make("button", "", words);
  const remarks = rows(list, (/** @type {import("../frames.js").LineRemark} */ r) => r.kind, remarkItem);
  let number = 0;
  button.setAttribute("type", "button");
  button.addEventListener("click", () => press(act, number));
  el.append(name, button, figures, list);
  return {
    el,
    /** @param {LineInput} input */
    write(input) {
      number = input.who.index + 1;
      say(name, called(input.who));
      button.setAttribute("aria-label", `${words}: ${called(input.who)}`);
      const text = facts(input);
      say(figures, text);
      show(figures, text !== "");
      remarks(input.remarks);
      show(list, input.remarks.length > 0);
    },
  };
}

/**
 * What a row says under its name.
 * @param {LineInput} input
 */
function facts(input) {
  if (input.state === "later") return label("check-put-off");
  if (input.state === "waiting" || !input.metered) return input.dcas.map(called).join(", ");
  if (!input.checked || input.mean_dbfs === null) return label("check-not-heard");
  const range = input.low_dbfs !== null && input.high_dbfs !== null ? label("check-range", { low: number(input.low_dbfs), high: number(input.high_dbfs) }) : number(input.mean_dbfs);
  return input.peak_dbfs === null ? label("check-at", { range }) : label("check-at-peaks", { range, peaks: number(input.peak_dbfs) });
}
