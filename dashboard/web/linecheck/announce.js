// Tells a screen reader, politely and once, what a looker would notice.

import { byId, make } from "../dom.js";
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
    for (const who of now) if (!done.has(who) && key) news.push(`${who} is done.`);
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
  if (!live) return ["old", "Not live. What is shown is old."];
  if (!check.on) return [`off ${check.last?.n ?? 0}`, check.last ? (check.last.words ?? []).join(" ") : "No line check is on."];
  const input = check.inputs[check.asked - 1];
  if (!input) return ["nobody", "Nobody is left to ask."];
  const said = input.remarks.map((r) => `${r.words?.says ?? ""} ${r.words?.try ?? ""}`).join(" ");
  return [`${check.asked} ${input.remarks.map((r) => r.kind).join(" ")}`, said ? `${called(input.who)}: ${said}` : `Next: ${called(input.who)}.`];
}
