// The foot: how the desk is heard, where and when.

import { byId, say, show } from "../dom.js";
import { linkWords } from "../parts/foot.js";
import { minute } from "../words.js";

/** @returns {(view: import("../types.js").View) => void} */
export function foot() {
  return ({ now, contact }) => {
    say(byId("link"), now ? linkWords(contact, now.link) : "");
    say(byId("house"), now?.house ?? "");
    say(byId("time"), now ? minute(now, now.t) : "");
    const heard = now?.link.phase === "hearing" || now?.link.phase === "quiet";
    show(byId("no-card"), heard && byId("card-place").hidden);
  };
}

/**
 * Whether anything pressed here would be taken.
 * @param {import("../types.js").View} view
 */
export const able = ({ now, contact }) => contact.live && now !== null && now.link.packets > 0;

/**
 * Greys a form out while nothing pressed in it would be taken. What was typed stays.
 * @param {(HTMLButtonElement|HTMLInputElement|HTMLSelectElement)[]} all
 * @param {boolean} can
 */
export function enable(all, can) {
  for (const one of all) if (one.disabled === can) one.disabled = !can;
}

/**
 * Why the newest of some presses was refused, where they are pressed.
 * @param {HTMLElement} place
 * @param {string[]} whys
 * @param {(why: string) => string} words
 */
export function refusal(place, whys, words) {
  const why = whys.find(Boolean) ?? "";
  say(place, why && words(why));
  show(place, why !== "");
}
