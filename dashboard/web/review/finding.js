// One finding, opened: what it said, what to try, the arithmetic, every move, its life.

import { byId, make, say, show } from "../dom.js";
import { marked, tell } from "../gloss.js";
import { label } from "../labels.js";
import { number, said, signed, whole } from "../words.js";
import { clock, length, turnWords, weightWords } from "./said.js";

/** @typedef {import("../frames.js").Told} Told */

/**
 * @param {{close: () => void, go: (t: number) => void}} to
 */
export function finding({ close, go }) {
  const place = byId("finding");
  byId("finding-close").onclick = close;
  /**
   * @param {Told|null} one
   * @param {import("../frames.js").Service} service
   */
  return (one, service) => {
    show(place, one !== null);
    if (!one) return;
    const words = said(one.said);
    say(byId("finding-heading"), words.what[0] ?? one.said.rule);
    say(byId("finding-when"), whenWords(one, service));
    byId("finding-what").replaceChildren(...words.what.slice(1).map((text) => paragraph("p", text)));
    const act = byId("finding-try");
    act.replaceChildren(...(words.try ? [make("b", "", label("next-time") + " "), ...marked(words.try)] : []));
    tell(byId("finding-then"), words.then);
    byId("finding-figures").replaceChildren(...Object.entries(one.said.figures).flatMap(figure));
    const moment = (/** @type {number} */ t) => {
      const button = /** @type {HTMLButtonElement} */ (make("button", "moment", clock(service, t)));
      button.type = "button";
      button.onclick = () => go(t);
      return button;
    };
    show(byId("facts-heading"), words.facts.length > 0);
    byId("finding-facts").replaceChildren(...one.said.facts.map((fact, i) => {
      const li = make("li");
      li.append(moment(fact.t), paragraph("span", words.facts[i]));
      return li;
    }));
    byId("finding-life").replaceChildren(...one.life.map((turn) => {
      const li = make("li");
      const text = make("span");
      text.append(make("b", "", turnWords(turn)), turn.says ? " · " + turn.says : "");
      li.append(moment(turn.t), text);
      return li;
    }));
  };
}

/**
 * @param {string} tag
 * @param {string} text
 */
function paragraph(tag, text) {
  const el = make(tag);
  el.append(...marked(text));
  return el;
}

/**
 * @param {Told} one
 * @param {import("../frames.js").Service} service
 */
function whenWords(one, service) {
  const why = said(one.said).held_back;
  const screen = one.said.shown ? label("was-shown") : why ? label("was-not-shown-because", { why }) : label("was-not-shown");
  const lasted = one.until === null ? label("open-to-the-end") : label("lasted", { length: length(one.until - one.from) });
  return label("finding-when", { at: clock(service, one.from), weight: weightWords(one.said), screen, lasted });
}

/** Figures that have a name; the others are in the sentences. */
const names = ["rise", "faders", "stage", "groups", "main"];

/**
 * A figure's name has its unit at the end.
 * @param {[string, number|null]} entry
 */
function figure([key, value]) {
  const cut = key.lastIndexOf("_");
  const name = key.slice(0, cut);
  const unit = key.slice(cut + 1);
  if (!names.includes(name)) return [];
  const text = value === null ? label("none") : unit === "db" ? signed(value) : unit === "dbfs" ? number(value) + " dBFS" : unit === "seconds" ? length(value) : whole(value);
  return [make("dt", "", label("figure-" + name)), make("dd", "", text)];
}
