// Five quiet words: which parts of the music are there, and who carries them.

import { byId, make, show, whenChanged } from "../dom.js";

/** @returns {(view: import("../types.js").View) => void} */
export function elements() {
  const place = byId("elements");
  const list = byId("element-list");
  /** @type {import("../types.js").Part[]} */
  let parts = [];
  const draw = whenChanged(() => {
    list.replaceChildren(...parts.map(row));
    show(place, parts.length > 0);
  });
  return ({ state }) => {
    const figures = state?.link.phase === "hearing" || state?.link.phase === "quiet";
    parts = (figures && state?.elements) || [];
    draw(JSON.stringify(parts));
  };
}

/** @param {import("../types.js").Part} part */
function row(part) {
  const li = make("li");
  if (part.present) li.dataset.present = "";
  const who = part.present ? part.primary || "no one named" : "not playing";
  const primary = make("span", "primary", who);
  primary.title = who;
  li.append(make("span", "word", part.element), primary);
  return li;
}
