// The page's title says how things stand, for a tab that is not in front.

import { signed } from "../words.js";
import { whatIsOld } from "./old.js";

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
  const { state, contact } = view;
  if (!state) return "Looking";
  if (!contact.live) return "Old, from " + state.timeOfDay;
  if (whatIsOld(view)) return phases.quiet;
  if (state.card) return (state.card.weight === "now" ? "Now: " : "Worth a look: ") + state.card.rule;
  if (state.link.phase === "hearing" && state.rise !== null) return signed(Math.round(state.rise * 2) / 2) + " since the mark";
  return phases[state.link.phase] ?? "";
}
