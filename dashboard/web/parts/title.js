// The page's title says how things stand, for a tab that is not in front.

import { clock, signed } from "../words.js";
import { freshness, whatIsOld } from "./old.js";

const phases = {
  waiting: "Waiting for the desk",
  hearing: "Hearing the desk",
  quiet: "The desk is quiet",
  "not-understood": "Nothing understood",
};

/** @returns {(view: import("../types.js").View) => void} */
export function title() {
  return (view) => {
    const text = words(view) + " · Pawl";
    if (document.title !== text) document.title = text;
  };
}

/** @param {import("../types.js").View} view */
function words(view) {
  const { now, contact } = view;
  if (!now) return "Looking";
  if (!contact.live) return "Old, from " + clock(now, now.t);
  if (whatIsOld(freshness(view))) return phases.quiet;
  if (now.card) return (now.card.weight === "now" ? "Now: " : "Worth a look: ") + now.card.rule;
  if (now.link.phase === "hearing" && now.mark.set && now.rise_db !== null) return signed(Math.round(now.rise_db * 2) / 2) + " since the mark";
  return phases[now.link.phase] ?? "";
}
