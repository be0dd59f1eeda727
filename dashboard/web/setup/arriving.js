// What arrives, by kind of message, and what hears it. What nothing hears stands
// first: it is what the map lacks.

import { byId, make, rows, say, show } from "../dom.js";
import { ago, count, number, whole } from "../words.js";

/** @typedef {import("../frames.js").Arriving} Arriving */

/** The OSC types in words a map uses. @type {Record<string, string>} */
const types = {
  i: "int", f: "float", s: "string", b: "blob", h: "long int", d: "double", t: "time", S: "symbol", c: "character",
  r: "colour", m: "midi", T: "true", F: "false", N: "nil", I: "bang",
};

/** @returns {(view: import("../types.js").SetupView) => void} */
export function arriving() {
  const draw = rows(byId("arriving-rows"), (/** @type {Arriving} */ one) => one.shape + " " + one.types, row);
  return ({ setup }) => {
    if (!setup) return;
    const lacking = setup.arriving.filter((one) => !one.heard);
    draw([...lacking, ...setup.arriving.filter((one) => one.heard)]);
    show(byId("arriving-table"), setup.arriving.length > 0);
    say(byId("arriving-lead"), leadWords(setup));
  };
}

/**
 * How many kinds the map lacks: a number, and the words that follow it.
 * @param {import("../frames.js").SetupAnswer} setup
 * @returns {[string, string]}
 */
export function notInMap({ arriving, more }) {
  const all = arriving.length;
  const lacking = arriving.filter((one) => !one.heard).length;
  if (all === 0) return ["0", "kinds of message so far"];
  const kinds = more > 0 ? "kinds of message listed" : all === 1 ? "kind of message" : "kinds of message";
  if (lacking === 0) return [`All ${all}`, `${kinds} are in the map`];
  return [`${lacking} of ${all}`, `${kinds} ${lacking === 1 ? "is" : "are"} not in the map`];
}

/** @param {import("../frames.js").SetupAnswer} setup */
function leadWords(setup) {
  if (setup.messages === 0 && setup.malformed === 0) return "Nothing has come yet.";
  const lines = [
    `${notInMap(setup).join(" ")}.`,
    `${count(setup.messages, "message")} so far, ${setup.unmapped ? count(setup.unmapped, "of them", "of them") + " not" : "all of them"} in the map.`,
    setup.malformed > 0 ? `${count(setup.malformed, "packet")} could not be read at all.` : "",
    setup.more > 0 ? `${count(setup.more, "more kind")} not listed here.` : "",
    setup.unmapped > 0 ? "What Pawl has no use for may stay out of the map." : "",
  ];
  return lines.filter(Boolean).join(" ");
}

function row() {
  const el = make("tr");
  el.setAttribute("role", "row");
  const cells = ["kind", "heard", "carries", "values", "often", "last"].map((name) => {
    const cell = make(name === "kind" ? "th" : "td", name);
    cell.setAttribute("role", name === "kind" ? "rowheader" : "cell");
    if (name === "kind") cell.setAttribute("scope", "row");
    return cell;
  });
  const [kind, heard, carries, values, often, last] = cells;
  const shape = make("code");
  const example = make("small");
  kind.append(shape, example);
  el.append(...cells);
  return {
    el,
    /** @param {Arriving} one */
    write(one) {
      el.toggleAttribute("data-lacking", one.heard === "");
      breakable(shape, one.shape);
      breakable(example, exampleWords(one));
      say(heard, one.heard || "not in the map");
      say(carries, typeWords(one.types));
      say(values, one.range);
      say(often, one.rate >= 0.05 ? `${number(one.rate)} a second` : `${whole(one.count)} in all`);
      say(last, ago(one.age < 10 ? one.age + 1e-9 : one.age));
    },
  };
}

/**
 * Either a whole address, or what stood where the shape has its stars.
 * @param {Arriving} one
 */
function exampleWords({ shape, example }) {
  if (example === "" || example === shape) return "";
  return example.startsWith("/") ? "as in " + example : "* is " + example;
}

/**
 * Lets a long address break where a reader would, before a slash.
 * @param {HTMLElement} el
 * @param {string} text
 */
function breakable(el, text) {
  if (el.textContent === text) return;
  const [first, ...parts] = text.split("/");
  el.replaceChildren(first, ...parts.flatMap((part) => [document.createElement("wbr"), "/" + part]));
}

/**
 * "3 float, string" for "fffs".
 * @param {string} tags
 */
function typeWords(tags) {
  if (tags === "") return "nothing";
  /** @type {{tag: string, times: number}[]} */
  const runs = [];
  for (const tag of tags) {
    const last = runs.at(-1);
    if (last?.tag === tag) last.times++;
    else runs.push({ tag, times: 1 });
  }
  return runs.map(({ tag, times }) => (times > 1 ? `${times} ` : "") + (types[tag] ?? tag)).join(", ");
}
