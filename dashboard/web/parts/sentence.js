// The one sentence: am I louder than I meant to be, and is it me?

import { byId, make, say, whenChanged } from "../dom.js";

/** @type {Record<string, string>} */
const headings = {
  waiting: "Waiting for the desk.",
  "not-understood": "Packets arrive, and none are understood.",
};

/** @returns {(view: import("../types.js").View) => void} */
export function sentence() {
  const place = byId("said");
  const under = byId("basis");
  let lead = "";
  let rest = "";
  const draw = whenChanged(() => {
    // The number is what a glance is after, so it stands out of what goes on from it.
    place.replaceChildren(...(rest ? [make("strong", "", lead), " " + rest] : [lead]));
  });
  return ({ now }) => {
    if (!now) return;
    const heading = headings[now.link.phase];
    [lead, rest] = heading ? [heading, ""] : [now.words.lead, now.words.rest];
    draw(lead + "\n" + rest);
    say(under, heading ? "" : now.words.basis);
  };
}
