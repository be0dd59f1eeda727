// The link in words: is the desk heard, and is it understood? If not, what to
// compare.

import { byId, show, whenChanged } from "../dom.js";
import { label } from "../labels.js";
import { around, waiting } from "../parts/arrival.js";
import { whole } from "../words.js";

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
  const desk = link.desk || label("the-desk");
  const count = whole(link.packets);
  if (link.phase === "not-understood") return [around("packets-unknown", { desk }, { n: count }), compare(setup)];
  const how = around(link.phase === "quiet" ? "desk-quiet" : "desk-heard", { desk });
  return [how, setup.desk ? [label("map-for", { desk: setup.desk })] : []];
}

/**
 * @param {Setup} setup
 * @returns {Line}
 */
function compare({ link, desk }) {
  const map = desk ? label("the-map-for", { desk }) : label("the-map");
  const what = link.example ? [...around("compare", { example: link.example }, { map }), " "] : [];
  return [...what, ...around("compare-alike", { command: "pawl listen --draft FILE" })];
}
