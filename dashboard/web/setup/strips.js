// Every input, DCA, group and the main as the map understands them: a row each,
// so that a wrong map is seen at once.

import { byId, make, rows, say, show } from "../dom.js";
import { label } from "../labels.js";
import { ago, number, whole } from "../words.js";
import { allStrips, nameOf } from "./moves.js";

const marked = 8000; // ms that the row that moved last stays marked
const stale = 3; // seconds after which a level is no longer from now

/**
 * @typedef {import("./moves.js").Keyed} Keyed
 * @typedef {Keyed & {moved: boolean, live: boolean}} Row
 * @typedef {import("../frames.js").Strip} Strip
 */

/** Where each kind stands on the page. @type {Record<string, string>} */
const places = { input: "inputs", DCA: "dcas", group: "groups", main: "mains" };

/** @returns {(view: import("../types.js").SetupView) => void} */
export function strips() {
  const lists = Object.entries(places).map(([kind, id]) => ({ kind, draw: section(byId(id), kind) }));
  return ({ setup, moved, contact }) => {
    if (!setup) return;
    const recent = moved && Date.now() - moved.at < marked ? moved.keys : new Set();
    const live = contact.live && setup.link.phase === "hearing";
    const all = allStrips(setup).map((one) => ({ ...one, moved: recent.has(one.key), live }));
    for (const { kind, draw } of lists) draw(all.filter((one) => one.kind === kind));
  };
}

/**
 * @param {HTMLElement} place
 * @param {string} kind
 * @returns {(items: Row[]) => void}
 */
function section(place, kind) {
  const list = /** @type {HTMLElement} */ (place.querySelector("ul"));
  const note = /** @type {HTMLElement} */ (place.querySelector("small"));
  /** @type {(items: Row[]) => void} */
  const draw = rows(list, (one) => one.key, () => row(kind));
  return (items) => {
    draw(items);
    say(note, heardWords(items.map((one) => one.strip), kind));
    show(place, items.length > 0 || kind === "input");
  };
}

/**
 * @param {Strip[]} strips
 * @param {string} kind
 */
function heardWords(strips, kind) {
  if (strips.length === 0) return label("names-none");
  if (kind === "main") return "";
  const faders = strips.filter((s) => s.fader).length;
  const levels = strips.filter((s) => s.level).length;
  const put = { n: whole(faders), levels: whole(levels), of: whole(strips.length) };
  if (kind === "DCA") return label("strips-faders", put);
  return faders === levels ? label("strips-both", put) : label("strips-each", put);
}

/** @param {string} kind */
function row(kind) {
  const el = make("li", "strip");
  const which = make("span", "which");
  const who = make("span", "who");
  const lead = make("span", "named");
  const name = make("span", "name");
  const notes = make("span", "notes");
  const element = make("span", "element");
  lead.append(name, notes);
  who.append(lead, element);
  const fader = figure("fader", "dB");
  const level = figure("level", "dBFS");
  el.append(which, who, fader.el);
  // A DCA carries no sound.
  if (kind !== "DCA") el.append(level.el);
  return {
    el,
    /** @param {Row} one */
    write(one) {
      const { strip } = one;
      el.id = one.key;
      el.toggleAttribute("data-moved", one.moved);
      say(which, strip.number ? String(strip.number) : "");
      say(name, strip.name || nameOf(one));
      name.title = strip.name;
      writeNotes(notes, one);
      say(element, strip.element && label("element-" + strip.element));
      const nothing = !strip.fader && !strip.level;
      el.toggleAttribute("data-nothing", nothing);
      show(fader.el, !nothing);
      show(level.el, !nothing);
      fader.write(strip.fader?.db, label("closed"), -60, 10);
      level.write(strip.level?.dbfs, label("silent"), -70, 0);
    },
  };
}

/**
 * @param {HTMLElement} notes
 * @param {Row} one
 */
function writeNotes(notes, { strip, moved, live }) {
  /** @type {[string, string|false][]} */
  const all = [
    ["moved", moved && label("moved")],
    ["muted", strip.muted && label("muted")],
    ["", !strip.fader && !strip.level && label("not-heard-yet")],
    ["", live && strip.level !== null && strip.age > stale && label("heard-ago", { ago: ago(strip.age) })],
  ];
  const words = all.filter(([, text]) => text);
  if (notes.textContent === words.map(([, text]) => text).join("")) return;
  notes.replaceChildren(...words.map(([name, text]) => make("span", name, text || "")));
}

/**
 * A number with its unit over a slim scale of decibels, or words without one.
 * @param {"fader"|"level"} name
 * @param {string} unit
 */
function figure(name, unit) {
  const el = make("span", "figure " + name);
  const value = make("span", "value");
  const text = make("b");
  const scale = make("i", name === "fader" ? "thread" : "glow");
  const hand = make("i", name === "fader" ? "bead" : "");
  scale.setAttribute("aria-hidden", "true");
  if (name === "fader") scale.append(make("i", "zero"));
  scale.append(hand);
  const units = make("small", "", " " + unit);
  value.append(make("span", "unseen", label("the-" + name) + " "), text, units);
  el.append(value, scale);
  return {
    el,
    /**
     * @param {number|null|undefined} db undefined: not heard yet; null: as low as it goes
     * @param {string} lowest the word for that
     * @param {number} lo the ends of the scale
     * @param {number} hi
     */
    write(db, lowest, lo, hi) {
      const heard = typeof db === "number";
      say(text, heard ? number(db) : db === null ? lowest : label("not-heard-yet"));
      el.toggleAttribute("data-words", !heard);
      el.toggleAttribute("data-unheard", db === undefined);
      show(units, heard);
      show(hand, heard);
      const place = heard ? `${(100 * (Math.min(Math.max(db, lo), hi) - lo)) / (hi - lo)}%` : "";
      if (hand.dataset.place !== place) hand.style.setProperty("--place", (hand.dataset.place = place));
    },
  };
}
