// Says plainly, over everything, that what is shown is not from now.

import { byId, say, show } from "../dom.js";
import { ago, clock } from "../words.js";

/**
 * What either page knows of how fresh it is; `seen` is null before anything was, and
 * its `from` the time of day that it is from.
 * @typedef {{seen: {from: string, link: import("../frames.js").Link}|null, contact: import("../types.js").Contact}} Fresh
 */

/** @returns {(view: import("../types.js").View) => void} */
export function old() {
  const show = bar();
  return (view) => show(freshness(view));
}

/**
 * @param {import("../types.js").View} view
 * @returns {Fresh}
 */
export function freshness({ now, contact }) {
  return { seen: now && { from: clock(now, now.t), link: now.link }, contact };
}

/** @returns {(fresh: Fresh) => void} */
export function bar() {
  const place = byId("old");
  return (fresh) => {
    const text = whatIsOld(fresh);
    say(place, text);
    show(place, text !== "");
    document.documentElement.classList.toggle("old", text !== "" && fresh.seen !== null);
  };
}

/**
 * "" while all is fresh.
 * @param {Fresh} fresh
 */
export function whatIsOld({ seen, contact }) {
  if (!contact.live && seen) {
    return `Not live. What you see is from ${seen.from}, ${ago(Math.ceil(contact.since))}. Trying again by itself.`;
  }
  if (!contact.live) return contact.since < 3 ? "" : "Pawl does not answer. Trying again by itself.";
  if (seen?.link.phase === "quiet") {
    return `The desk has gone quiet. What you see of it is from ${ago(Math.floor(seen.link.age))}. Pawl keeps asking.`;
  }
  return "";
}
