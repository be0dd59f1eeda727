// What arrives, by kind of message, and what hears it. What nothing hears stands
// first: it is what the map lacks.

import { byId, make, rows, say, show } from "../dom.js";
import { label } from "../labels.js";
import { ago, counted, number, whole } from "../words.js";

/** @typedef {import("../frames.js").Arriving} Arriving */

/** The OSC types as a map writes them, whatever its reader speaks. @type {Record<string, string>} */
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
  if (all === 0) return [whole(0), label("kinds-none")];
  if (lacking === 0) return [label("all-of", { n: whole(all) }), more > 0 ? label("kinds-listed-known") : counted("kinds-known", all)];
  return [label("some-of", { n: whole(lacking), of: whole(all) }), more > 0 ? counted("kinds-listed-lacking", lacking) : counted("kinds-lacking", lacking)];
}

/** @param {import("../frames.js").SetupAnswer} setup */
function leadWords(setup) {
  if (setup.messages === 0 && setup.malformed === 0) return label("arrival-none");
  const lines = [
    `${notInMap(setup).join(" ")}.`,
    counted("messages", setup.messages) + " " + (setup.unmapped ? counted("messages-not", setup.unmapped) : label("messages-all")),
    setup.malformed > 0 ? counted("malformed", setup.malformed) : "",
    setup.more > 0 ? counted("kinds-more", setup.more) : "",
    setup.unmapped > 0 ? label("may-stay-out") : "",
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
      say(heard, one.heard || label("not-in-map"));
      say(carries, typeWords(one.types));
      say(values, one.range);
      say(often, one.rate >= 0.05 ? label("a-second", { n: number(one.rate) }) : label("in-all", { n: whole(one.count) }));
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
  return example.startsWith("/") ? label("as-in", { example }) : label("star-is", { example });
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
  if (tags === "") return label("carries-nothing");
  /** @type {{tag: string, times: number}[]} */
  const runs = [];
  for (const tag of tags) {
    const last = runs.at(-1);
    if (last?.tag === tag) last.times++;
    else runs.push({ tag, times: 1 });
  }
  return runs.map(({ tag, times }) => (times > 1 ? `${whole(times)} ` : "") + (types[tag] ?? tag)).join(", ");
}
