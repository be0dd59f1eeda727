// What to look at while there is nothing to show yet: no desk, or another desk
// than the map was written for.

import { byId, make, say, show, whenChanged } from "../dom.js";
import { count } from "../words.js";

/** @returns {(view: import("../types.js").View) => void} */
export function arrival() {
  const place = byId("arrival");
  const what = byId("arrival-what");
  const next = byId("arrival-next");
  /** @type {import("../frames.js").Link|null} */
  let link = null;
  const draw = whenChanged(() => {
    if (!link) return;
    const [happened, advice] = link.phase === "waiting" ? waiting(link) : notUnderstood(link);
    what.replaceChildren(...happened);
    say(next, advice);
  });
  return ({ now }) => {
    link = now?.link ?? null;
    const shown = link?.phase === "waiting" || link?.phase === "not-understood";
    show(place, shown);
    byId("watch").classList.toggle("arriving", shown);
    if (link && shown) draw([link.phase, link.desk, link.text, link.example, link.packets].join("\n"));
  };
}

/**
 * What is to be said while nothing has come, and what to do.
 * @param {import("../frames.js").Link} link
 * @returns {[(string|HTMLElement)[], string]}
 */
export function waiting(link) {
  const from = link.desk ? ["Nothing has come yet from ", make("code", "", link.desk), "."] : ["Nothing has come yet."];
  return [
    link.says.id === "link.trouble" ? [link.text] : from,
    "Pawl keeps asking. If this lasts, see that the desk is on, that both are on the same network, and that the address in the house file is the desk's.",
  ];
}

/**
 * @param {import("../frames.js").Link} link
 * @returns {[(string|HTMLElement)[], string]}
 */
function notUnderstood(link) {
  const came = count(link.packets, "packet") + " so far.";
  const example = link.example ? [" One is addressed ", make("code", "", link.example), "."] : [];
  return [[came, ...example], "The map may be written for another desk. “pawl listen” shows all that arrives beside what the map hears."];
}
