// Tells a screen reader, politely and once, what a looker would notice.

import { byId, make } from "../dom.js";
import { label } from "../labels.js";
import { clock, said } from "../words.js";
import { kind } from "./card.js";
import { phaseWords } from "./foot.js";

/** @returns {(view: import("../types.js").View) => void} */
export function announce() {
  const place = byId("announce");
  const speakers = [onChange(cardWords), onChange(lineWords), onChange(toldWords), onChange(linkWords), onChange(noticeWords)];
  return (view) => {
    for (const speak of speakers) {
      const text = speak(view);
      if (text) place.append(make("p", "", text));
    }
    while (place.childElementCount > 4) place.firstElementChild?.remove();
  };
}

/**
 * Words to say when the key they go with changed, else "".
 * @param {(view: import("../types.js").View) => [string, string]} tell key and words
 */
function onChange(tell) {
  let last = "";
  return (/** @type {import("../types.js").View} */ view) => {
    const [key, text] = tell(view);
    if (key === last) return "";
    last = key;
    return text;
  };
}

/**
 * @param {import("../types.js").View} view
 * @returns {[string, string]}
 */
function cardWords({ now }) {
  const c = now?.card;
  if (!c) return ["", ""];
  const words = said(c);
  const act = words.try ? [words.try, words.then] : [];
  return [`${c.number} ${c.weight} ${c.state}`, [kind(c) + ".", ...words.what, ...act].join(" ")];
}

/**
 * @param {import("../types.js").View} view
 * @returns {[string, string]}
 */
function lineWords({ now }) {
  const l = now?.line;
  return l ? [`${l.number} ${l.state}`, said(l).what.join(" ")] : ["", ""];
}

/**
 * @param {import("../types.js").View} view
 * @returns {[string, string]}
 */
function toldWords({ now }) {
  const t = now?.told;
  return t ? [String(t.number), label("from-coach", { text: t.text })] : ["", ""];
}

/**
 * @param {import("../types.js").View} view
 * @returns {[string, string]}
 */
function linkWords({ now, contact }) {
  if (!now) return ["", ""];
  if (!contact.live) return ["old", label("title-old", { at: clock(now, now.t) })];
  return [now.link.phase, phaseWords(now.link)];
}

/**
 * @param {import("../types.js").View} view
 * @returns {[string, string]}
 */
function noticeWords({ now }) {
  const text = (now?.notices ?? []).map((n) => n.text).join("\n");
  return [text, text];
}
