// Says plainly, over everything, that what is shown is not from now.

import { byId, say, show } from "../dom.js";
import { label } from "../labels.js";
import { ago, clock } from "../words.js";

/**
 * What either page knows of how fresh it is; `seen` is null before anything was, and
 * its `from` the time of day that it is from.
 * @typedef {{seen: {from: string, link: import("../frames.js").Link}|null, contact: import("../types.js").Contact}} Fresh
 */

/**
 * Steps the whole page back while what it shows is old.
 * @returns {(view: import("../types.js").View) => void}
 */
export function old() {
  return (view) => stepBack(freshness(view));
}

/** @param {Fresh} fresh */
function stepBack(fresh) {
  const text = whatIsOld(fresh);
  document.documentElement.classList.toggle("old", text !== "" && fresh.seen !== null);
  return text;
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
    const text = stepBack(fresh);
    say(place, text);
    show(place, text !== "");
  };
}

/**
 * "" while all is fresh.
 * @param {Fresh} fresh
 */
export function whatIsOld({ seen, contact }) {
  if (!contact.live && seen) {
    if (contact.since === null) return label("old-slept", { at: seen.from });
    return label("old-lost", { at: seen.from, ago: ago(Math.ceil(contact.since)) });
  }
  if (!contact.live) return contact.since !== null && contact.since < 3 ? "" : label("old-silent");
  if (seen?.link.phase === "quiet") {
    const quiet = label("old-quiet", { ago: ago(Math.floor(seen.link.age)) });
    return seen.link.says.id === "link.trouble" ? `${quiet} ${seen.link.text}` : quiet; // it sends from elsewhere
  }
  return "";
}
