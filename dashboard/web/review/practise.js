// One thing to practise, with the moments that it comes from.

import { byId, make, say, show } from "../dom.js";

/** @typedef {import("../frames.js").ReviewMoment} Moment */

const most = 3; // moments: enough to see what is meant

/**
 * @param {string} id of the section, which its parts' ids begin with
 * @param {import("../frames.js").ReviewOneThing|null} thing
 * @param {(moment: Moment) => HTMLElement} go what leads to a moment
 */
export function practise(id, thing, go) {
  show(byId(id), thing !== null);
  if (!thing) return;
  say(byId(id + "-what"), thing.what);
  say(byId(id + "-why"), thing.why);
  byId(id + "-moments").replaceChildren(...thing.moments.slice(0, most).map((moment) => {
    const li = make("li");
    li.append(go(moment), make("span", "", moment.text));
    return li;
  }));
}
