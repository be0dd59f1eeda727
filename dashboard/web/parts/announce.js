// Tells a screen reader, politely and once, what a looker would notice.

import { byId, make } from "../dom.js";
import { kind } from "./card.js";

/** @returns {(view: import("../types.js").View) => void} */
export function announce() {
  const place = byId("announce");
  const speakers = [onChange(cardWords), onChange(lineWords), onChange(linkWords), onChange(noticeWords)];
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
function cardWords({ state }) {
  const c = state?.card;
  return c ? [`${c.number} ${c.weight} ${c.phase}`, `${kind(c)}. ${c.text} ${c.try ? "Try: " + c.try : ""}`] : ["", ""];
}

/**
 * @param {import("../types.js").View} view
 * @returns {[string, string]}
 */
function lineWords({ state }) {
  const l = state?.line;
  return l ? [`${l.number} ${l.phase}`, l.text] : ["", ""];
}

/**
 * @param {import("../types.js").View} view
 * @returns {[string, string]}
 */
function linkWords({ state, contact }) {
  if (!state) return ["", ""];
  if (!contact.live) return ["old", `Not live. What is shown is from ${state.timeOfDay}.`];
  const words = {
    waiting: "Waiting for the desk.",
    hearing: "The desk is heard.",
    quiet: "The desk has gone quiet.",
    "not-understood": "Packets arrive, and none are understood.",
  };
  return [state.link.phase, words[state.link.phase] ?? ""];
}

/**
 * @param {import("../types.js").View} view
 * @returns {[string, string]}
 */
function noticeWords({ state }) {
  const text = (state?.notices ?? []).map((n) => n.text).join("\n");
  return [text, text];
}
