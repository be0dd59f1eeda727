// The page's title says how things stand, for a tab that is not in front.

import { whenChanged } from "../dom.js";
import { label } from "../labels.js";
import { change, clock, said } from "../words.js";
import { kind } from "./card.js";
import { phaseWords } from "./foot.js";
import { freshness, whatIsOld } from "./old.js";

/** @returns {(view: import("../types.js").View) => void} */
export function title() {
  const tell = whenChanged((text) => (document.title = text));
  return (view) => tell(words(view) + " · Pawl");
}

/** @param {import("../types.js").View} view */
function words(view) {
  const { now, contact } = view;
  if (!now) return label("title-looking");
  if (!contact.live) return label("title-old", { at: clock(now, now.t) });
  if (whatIsOld(freshness(view))) return label("title-quiet");
  if (now.card) return `${kind(now.card)}: ${said(now.card).try || said(now.card).what[0]}`;
  if (now.link.phase === "hearing" && now.mark.set && now.rise_db !== null) return `${change(Math.round(now.rise_db * 2) / 2)} dB`;
  return phaseWords(now.link);
}
