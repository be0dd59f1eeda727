// The link in words: is the desk heard, and is it understood? If not, what to
// compare.

import { byId, make, show, whenChanged } from "../dom.js";
import { waiting } from "../parts/arrival.js";
import { count } from "../words.js";

/**
 * @typedef {(string|HTMLElement)[]} Line
 * @typedef {import("../frames.js").SetupAnswer} Setup
 */

/** @returns {(view: import("../types.js").SetupView) => void} */
export function link() {
  const said = byId("link-said");
  const next = byId("link-next");
  /** @type {[Line, Line]} */
  let lines = [[], []];
  const draw = whenChanged(() => {
    said.replaceChildren(...lines[0]);
    next.replaceChildren(...lines[1]);
    show(next, lines[1].length > 0);
  });
  return ({ setup, refused }) => {
    if (!setup && !refused) return;
    lines = setup ? words(setup) : [[refused], []];
    draw(lines.map((line) => line.map((part) => (typeof part === "string" ? part : part.textContent)).join("")).join("\n"));
  };
}

/**
 * @param {Setup} setup
 * @returns {[Line, Line]} how it stands, and what to do about it
 */
function words(setup) {
  const { link } = setup;
  if (link.phase === "waiting") {
    const [happened, advice] = waiting(link);
    return [happened, [advice]];
  }
  const desk = address(link.desk || "the desk");
  if (link.phase === "not-understood") return [[count(link.packets, "packet"), " from ", desk, ", and the map knows none."], compare(setup)];
  const how = link.phase === "quiet" ? ["The desk at ", desk, " has gone quiet."] : ["The desk at ", desk, " is heard and understood."];
  return [how, setup.desk ? [`The map is for “${setup.desk}”.`] : []];
}

/**
 * @param {Setup} setup
 * @returns {Line}
 */
function compare({ link, desk }) {
  const map = desk ? `the map for “${desk}”` : "the map";
  const what = link.example ? ["Compare ", address(link.example), ", which came, with the hear lines of ", map, ". "] : [];
  return [
    ...what,
    "If they are alike but for a part, mend that part. If nothing is alike, the map is for another desk: ",
    make("code", "", "pawl listen --draft FILE"),
    " writes a first map from what arrives.",
  ];
}

/** @param {string} text */
const address = (text) => make("code", "", text);
