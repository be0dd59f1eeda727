// Says plainly, over everything, that what is shown is not from now.

import { byId, say, show } from "../dom.js";
import { ago } from "../words.js";

/**
 * What either page knows of how fresh it is.
 * @typedef {{state: {timeOfDay: string, link: import("../types.js").Link}|null, contact: import("../types.js").Contact}} Shown
 */

/** @returns {(view: Shown) => void} */
export function old() {
  const bar = byId("old");
  return (view) => {
    const text = whatIsOld(view);
    say(bar, text);
    show(bar, text !== "");
    document.documentElement.classList.toggle("old", text !== "" && view.state !== null);
  };
}

/**
 * "" while all is fresh.
 * @param {Shown} view
 */
export function whatIsOld({ state, contact }) {
  if (!contact.live && state) {
    return `Not live. What you see is from ${state.timeOfDay}, ${ago(Math.ceil(contact.since))}. Trying again by itself.`;
  }
  if (!contact.live) return contact.since < 3 ? "" : "Pawl does not answer. Trying again by itself.";
  if (state?.link.phase === "quiet") {
    return `The desk has gone quiet. What you see of it is from ${ago(Math.floor(state.link.age))}. Pawl keeps asking.`;
  }
  return "";
}
