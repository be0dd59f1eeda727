// Tells a screen reader, politely and once, what a looker would notice.

import { byId, make } from "../dom.js";
import { label } from "../labels.js";
import { called } from "../words.js";

/** @returns {(view: import("../types.js").LineView) => void} */
export function announce() {
  const place = byId("announce");
  let key = "";
  let done = new Set();
  return ({ check, contact }) => {
    if (!check) return;
    /** @type {string[]} */
    const news = [];
    const now = new Set(check.inputs.filter((i) => i.state === "done").map((i) => called(i.who)));
    for (const who of now) if (!done.has(who) && key) news.push(label("check-is-done", { who }));
    done = now;
    const [fresh, text] = situation(check, contact.live);
    if (fresh !== key) news.push(text);
    key = fresh;
    if (news.length > 0) place.append(make("p", "", news.join(" ")));
    while (place.childElementCount > 4) place.firstElementChild?.remove();
  };
}

/**
 * What is so, and a key that changes only when that is news.
 * @param {import("../frames.js").LineAnswer} check
 * @param {boolean} live
 * @returns {[string, string]}
 */
function situation(check, live) {
  if (!live) return ["old", label("not-live")];
  if (!check.on) return [`off ${check.last?.n ?? 0}`, check.last ? (check.last.words ?? []).join(" ") : label("check-off")];
  const input = check.inputs[check.asked - 1];
  if (!input) return ["nobody", label("check-nobody")];
  const said = input.remarks.map((r) => `${r.words?.says ?? ""} ${r.words?.try ?? ""}`).join(" ");
  return [`${check.asked} ${input.remarks.map((r) => r.kind).join(" ")}`, said ? `${called(input.who)}: ${said}` : label("check-next-is", { who: called(input.who) })];
}
