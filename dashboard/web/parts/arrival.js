// What to look at while there is nothing to show yet: no desk, or another desk
// than the map was written for.

import { byId, make, say, show, whenChanged } from "../dom.js";
import { label } from "../labels.js";
import { whole } from "../words.js";

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
  const from = link.desk ? around("arrival-none-from", { desk: link.desk }) : [label("arrival-none")];
  return [link.says.id === "link.trouble" ? [link.text] : from, label("arrival-advice")];
}

/**
 * @param {import("../frames.js").Link} link
 * @returns {[(string|HTMLElement)[], string]}
 */
function notUnderstood(link) {
  const came = label("arrival-came", { n: whole(link.packets) });
  const example = link.example ? [" ", ...around("arrival-example", { example: link.example })] : [];
  return [[came, ...example], label("arrival-foreign")];
}

/**
 * A label with something typed by a machine in it, and perhaps other things put in.
 * @param {string} id
 * @param {Record<string, string>} typed the one name and what a machine types for it
 * @param {Record<string, string>} [put]
 */
export function around(id, typed, put) {
  const [[name, code]] = Object.entries(typed);
  const [before, after] = label(id, put).split(`{${name}}`);
  return [before, make("code", "", code), after];
}
