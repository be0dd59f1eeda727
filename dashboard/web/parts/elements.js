// Which parts of the music are there now, and who carries them.

import { byId, make, rows, say, show, whenChanged } from "../dom.js";
import { label } from "../labels.js";
import { called } from "../words.js";

/** @typedef {import("../frames.js").Part} Part */

/** @returns {(view: import("../types.js").View) => void} */
export function elements() {
  const place = byId("elements");
  const draw = rows(byId("element-list"), (/** @type {Part} */ part) => part.element, row);
  return ({ now }) => {
    const figures = now?.link.phase === "hearing" || now?.link.phase === "quiet";
    const parts = (figures && now?.parts) || [];
    draw(parts);
    show(place, parts.length > 0);
  };
}

function row() {
  const el = make("li");
  const word = make("span", "word");
  const primary = make("span", "primary");
  el.append(word, primary);
  const name = whenChanged((text) => {
    say(primary, text);
    primary.title = text;
  });
  return {
    el,
    /** @param {Part} part */
    write({ element, present, lead }) {
      el.toggleAttribute("data-present", present);
      say(word, label("element-" + element));
      name(present ? (lead ? called(lead) : label("element-unnamed")) : label("element-silent"));
    },
  };
}
