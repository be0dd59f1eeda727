// The foot: the mark, the part of the service, how the desk is heard, where and when.

import { byId, say, show } from "../dom.js";
import { label } from "../labels.js";
import { ago, minute } from "../words.js";

/**
 * @param {import("../types.js").Hands} hands
 * @returns {(view: import("../types.js").View) => void}
 */
export function foot({ press }) {
  const mark = markButton(press);
  return (view) => {
    const { now, awake } = view;
    mark(view);
    say(byId("link"), now ? linkWords(view.contact, now.link) : "");
    show(byId("drowsy"), !awake);
    say(byId("house"), now?.house ?? "");
    say(byId("house-heading"), now?.house ?? "");
    say(byId("time"), now ? minute(now, now.t) : "");
  };
}

/**
 * @param {import("../types.js").Contact} contact
 * @param {import("../frames.js").Link} link
 */
export function linkWords(contact, link) {
  if (!contact.live) return label("link-lost");
  switch (link.phase) {
    case "hearing":
      return link.age < 1 ? label("link-hearing") : label("link-heard", { ago: ago(Math.floor(link.age)) });
    case "quiet":
      return label("link-quiet", { ago: ago(Math.floor(link.age)) });
    case "not-understood":
      return label("link-foreign");
    default:
      return label("link-waiting");
  }
}

/** @type {Record<import("../frames.js").Link["phase"], string>} */
const phases = { hearing: "link-hearing", waiting: "link-waiting", quiet: "link-quiet-now", "not-understood": "link-foreign" };

/**
 * How the desk is heard, without since when.
 * @param {import("../frames.js").Link} link
 */
export const phaseWords = (link) => label(phases[link.phase]);

/**
 * One press, which can be taken back: what a mark ends is kept for a while.
 * @param {import("../presses.js").Presses["press"]} press
 * @returns {(view: import("../types.js").View) => void}
 */
function markButton(press) {
  const button = /** @type {HTMLButtonElement} */ (byId("mark"));
  button.onclick = () => press("mark", 0);
  return ({ now, contact, presses }) => {
    const able = contact.live && now?.link.phase === "hearing";
    if (button.disabled === able) button.disabled = !able;
    const why = refusable.map((what) => presses.refused(what, 0)).find(Boolean);
    say(byId("mark-said"), why ? label("refused", { why }) : "");
  };
}

const refusable = ["mark", "mark-back", "segment", "back"];
