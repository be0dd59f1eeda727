// The faults of the house file and the map, as they are on disk: where, what, and
// what to do next.

import { byId, make, say, whenChanged } from "../dom.js";
import { label } from "../labels.js";
import { counted, whole } from "../words.js";

/** @typedef {import("../frames.js").Fault} Fault */

/** @returns {(view: import("../types.js").SetupView) => void} */
export function faults() {
  const place = byId("fault-files");
  /** @type {Fault[]} */
  let list = [];
  const draw = whenChanged(() => place.replaceChildren(...byFile(list).map(fileBlock)));
  return ({ setup }) => {
    if (!setup) return;
    list = setup.faults;
    draw(JSON.stringify(list));
    say(byId("faults-lead"), leadWords(setup));
  };
}

/** @param {import("../frames.js").SetupAnswer} setup */
function leadWords({ faults, faults_age }) {
  if (!faults_age && faults.length === 0) return label("no-file");
  const advice = faults.filter((f) => f.advice).length;
  const wrong = faults.length - advice;
  const parts = [(wrong ? counted("faults", wrong) : label("faults-no")) + "."];
  if (advice) parts.push(counted("advice", advice));
  if (faults_age) parts.push(label("read-at", { at: faults_age }));
  if (wrong) parts.push(label("not-taken"));
  return parts.join(" ");
}

/**
 * The files in the order they came, what is wrong in each before what is advised.
 * @param {Fault[]} list
 * @returns {[string, Fault[]][]}
 */
function byFile(list) {
  /** @type {Map<string, Fault[]>} */
  const files = new Map();
  for (const fault of list) files.set(fault.file, [...(files.get(fault.file) ?? []), fault]);
  return [...files].map(([file, some]) => [file, some.toSorted((a, b) => Number(a.advice) - Number(b.advice))]);
}

/** @param {[string, Fault[]]} file */
function fileBlock([file, some]) {
  const block = make("div", "file");
  const list = make("ol");
  list.append(...some.map(item));
  const heading = make("h3");
  heading.append(make("code", "", file));
  block.append(heading, list);
  return block;
}

/** @param {Fault} fault */
function item(fault) {
  const li = make("li", "fault");
  li.toggleAttribute("data-advice", fault.advice);
  const where = make("p", "where");
  where.append(make("b", "", lineWords(fault)));
  if (fault.path) where.append(" ", make("code", "", fault.path));
  li.append(where, make("p", "text", fault.text));
  if (fault.hint) {
    const next = make("p", "hint");
    next.append(make("b", "", label(fault.advice ? "so" : "next") + " "), fault.hint);
    li.append(next);
  }
  return li;
}

/** @param {Fault} fault */
function lineWords({ line, col, advice }) {
  const where = line === 0 ? label("whole-file") : label(col ? "line-column" : "line-only", { line: whole(line), column: whole(col) });
  return where + (advice ? " · " + label("is-advice") : "");
}
