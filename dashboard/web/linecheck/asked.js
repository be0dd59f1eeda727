// Who is asked for now, large: the name, how long it has sounded, how loud, what is wrong.

import { byId, make, rows, say, show } from "../dom.js";
import { label } from "../labels.js";
import { called, counted, number, whole } from "../words.js";
import { remarkItem } from "./remark.js";

const floor = -60; // dBFS, the left end of the scale

/** @typedef {import("../frames.js").LineInput} LineInput */

/** @returns {(view: import("../types.js").LineView) => void} */
export function asked() {
  const remarks = rows(byId("asked-remarks"), (/** @type {import("../frames.js").LineRemark} */ r) => r.kind, remarkItem);
  return ({ check }) => {
    show(byId("asked"), check?.on === true);
    if (!check?.on) return;
    const input = check.inputs[check.asked - 1];
    byId("asked").toggleAttribute("data-mend", input?.remarks.length > 0);
    say(byId("asked-lead"), input ? label(input.sounded_seconds > 0 ? "check-now" : "check-next") : "");
    say(byId("asked-name"), input ? called(input.who) : nobodyLeft(check));
    byId("asked-name").toggleAttribute("data-long", input !== undefined && called(input.who).length > 20);
    say(byId("asked-do"), input ? what(check, input) : label("check-by-itself"));
    for (const id of ["seconds", "guide"]) show(byId(id), input !== undefined);
    remarks(input?.remarks ?? []);
    show(byId("asked-level"), input !== undefined && (!input.checked || input.remarks.length === 0)); // else a remark says it
    if (!input) return;
    fill(Math.round(check.play_seconds), Math.floor(input.sounded_seconds + 0.05));
    guide(check, input);
  };
}

/** @param {import("../frames.js").LineAnswer} check */
function nobodyLeft({ inputs, metered }) {
  if (metered === 0) return label("check-look");
  return inputs.some((i) => i.state === "open") ? label("check-everybody") : label("check-nobody-left");
}

/**
 * @param {import("../frames.js").LineAnswer} check
 * @param {LineInput} input
 */
function what({ play_seconds, sounds }, { sounded_seconds, checked }) {
  const so = { n: whole(Math.floor(sounded_seconds + 0.05)), of: whole(play_seconds) };
  if (checked) return label("check-heard-for", so);
  if (sounded_seconds === 0) return counted("check-ask-for", play_seconds);
  return sounds ? label("check-hearing", so) : label("check-paused", so);
}

/**
 * A mark for each second, filled once it was heard.
 * @param {number} all
 * @param {number} heard
 */
function fill(all, heard) {
  const place = byId("seconds");
  while (place.childElementCount < all) place.append(make("i"));
  while (place.childElementCount > all) place.lastElementChild?.remove();
  [...place.children].forEach((mark, n) => mark.toggleAttribute("data-heard", n < heard));
}

/**
 * @param {import("../frames.js").LineAnswer} check
 * @param {LineInput} input
 */
function guide({ now_dbfs, sounds, least_dbfs, most_dbfs }, input) {
  const place = byId("guide");
  const at = (/** @type {number} */ db) => `${(100 * (Math.min(Math.max(db, floor), 0) - floor)) / -floor}%`;
  place.style.setProperty("--least", at(least_dbfs ?? floor));
  place.style.setProperty("--most", at(most_dbfs ?? 0));
  place.style.setProperty("--now", at(now_dbfs ?? floor));
  place.toggleAttribute("data-sounds", sounds);
  say(/** @type {HTMLElement} */ (place.querySelector(".least")), number(least_dbfs ?? floor));
  say(/** @type {HTMLElement} */ (place.querySelector(".most")), number(most_dbfs ?? 0));
  const level = input.checked ? input.mean_dbfs : sounds ? now_dbfs : null;
  say(byId("asked-level"), level === null ? label("check-guide") : label(input.checked ? "check-mean" : "check-level", { level: number(level), where: where(level, least_dbfs ?? floor, most_dbfs ?? 0) }));
}

/**
 * @param {number} level
 * @param {number} least
 * @param {number} most
 */
function where(level, least, most) {
  if (level < least) return label("check-below");
  return level > most ? label("check-above") : label("check-within");
}
