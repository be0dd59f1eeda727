// The foot: the mark, how the desk is heard, where and when.

import { byId, say, show } from "../dom.js";
import { ago, minute } from "../words.js";

const second = 4000; // ms in which the second press must follow the first

/**
 * @param {import("../types.js").Hands} hands
 * @returns {(view: import("../types.js").View) => void}
 */
export function foot({ press }) {
  const mark = markButton(press);
  // Two, as a phone's foot has no room for it.
  const drowsy = /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(".drowsy"));
  return (view) => {
    const { now, awake } = view;
    mark(view);
    say(byId("link"), now ? linkWords(view.contact, now.link) : "");
    for (const line of drowsy) show(line, !awake);
    say(byId("house"), now?.house ?? "");
    say(byId("house-heading"), now?.house ? "at " + now.house : "");
    say(byId("time"), now ? minute(now, now.t) : "");
  };
}

/**
 * @param {import("../types.js").Contact} contact
 * @param {import("../frames.js").Link} link
 */
export function linkWords(contact, link) {
  if (!contact.live) return "Pawl is out of reach";
  switch (link.phase) {
    case "hearing":
      return link.age < 1 ? "Hearing the desk" : "Heard " + ago(Math.floor(link.age));
    case "quiet":
      return "Last heard " + ago(Math.floor(link.age));
    case "not-understood":
      return "Heard, not understood";
    default:
      return "Not heard yet";
  }
}

/**
 * A stray touch would throw the mark and the tide away, so it takes two.
 * @param {import("../presses.js").Presses["press"]} press
 * @returns {(view: import("../types.js").View) => void}
 */
function markButton(press) {
  const button = /** @type {HTMLButtonElement} */ (byId("mark"));
  let armed = 0;
  button.onclick = () => {
    if (Date.now() - armed < second) {
      armed = 0;
      press("mark", 0);
    } else {
      armed = Date.now();
      say(button, "Press again to mark");
      setTimeout(() => Date.now() - armed >= second && say(button, "Mark this mix"), second);
    }
  };
  return ({ now, contact, presses }) => {
    const able = contact.live && now?.link.phase === "hearing";
    if (button.disabled === able) button.disabled = !able;
    if (armed === 0) say(button, "Mark this mix");
    const why = presses.refused("mark", 0);
    say(byId("mark-said"), why ? `Not marked: ${why}.` : presses.done("mark") ? "Marked." : "");
  };
}
