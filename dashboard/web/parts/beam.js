// The beam: the change on one fixed scale, from the mark, the faders' part filled and
// the stage's part an outline. Its figures stand on it and take the place of a key. Where one
// part takes back of another, a notch has the total.

import { byId, make, put, rows, say, set, show, whenChanged } from "../dom.js";
import { label } from "../labels.js";
import { minute, plus, whole } from "../words.js";
import { near } from "./water.js";

const low = -3; // dB at its ends; what goes further stands at the end, and the figures tell
const high = 9;
const shows = 0.05;
const inside = 2.6; // dB that a figure needs to stand within the filled part
const crowded = 7; // dB from where on no figure fits before the end

/** @returns {(view: import("../types.js").View) => void} */
export function beam() {
  const place = byId("beam");
  const part = (/** @type {string} */ name) => /** @type {HTMLElement} */ (place.querySelector("." + name));
  const [within, hands, stage, rest, total, zero, figures, scale] = ["within", "hands", "stage", "rest", "total", "zero", "figures", "scale"].map(part);
  /** @type {import("../frames.js").Now} */
  let now;
  span(within, -near, near);
  put(zero, "left", percent(0));
  const tell = rows(figures, (/** @type {Told} */ one) => one.how, figure);
  const draw = whenChanged(() => {
    const { faders_db, stage_db, groups_db, main_db } = now.split;
    const [f, s, r] = [faders_db ?? 0, stage_db ?? 0, (groups_db ?? 0) + (main_db ?? 0)];
    reach(hands, 0, f);
    reach(stage, f, f + s);
    reach(rest, f + s, f + s + r);
    const back = Math.max(0, f, f + s, f + s + r) - Math.min(0, f, f + s, f + s + r) - Math.abs(f + s + r) >= shows;
    show(total, back); // where parts pull apart, the end of none is the longest
    if (back) put(total, "left", percent(f + s + r));
    tell(told(now, f, s, r, back ? bound(f + s + r) : 0));
  });
  const mark = whenChanged(() => {
    scale.replaceChildren(...[low, 0, 3, 6, high].map((db) => tick(db, db === 0 ? label("set-at", { at: minute(now, now.mark.t) }) : steps(db))));
  });
  return (view) => {
    const figured = view.now !== null && view.now.words.causes !== "" && (view.now.link.phase === "hearing" || view.now.link.phase === "quiet");
    show(place, figured);
    if (!view.now || !figured) return;
    now = view.now;
    draw([view.language, now.basis, ...Object.values(now.split).map((v) => (v ?? 0).toFixed(1))].join());
    mark(`${now.mark.t} ${minute(now, now.mark.t)} ${view.language}`);
    set(place, "aria-label", label("beam", { causes: now.words.causes }));
  };
}

/** @typedef {{how: "within"|"after", at: number, until: number, text: string}} Told */

/**
 * The figures: that of the faders on their part where it is long enough, all others
 * after the end of what is drawn.
 * @param {import("../frames.js").Now} now
 * @param {number} f
 * @param {number} s
 * @param {number} r
 * @param {number} notch where the total is drawn, or 0
 * @returns {Told[]}
 */
function told(now, f, s, r, notch) {
  const all = [named("faders", f)];
  if (now.basis !== "faders") all.push(named("stage", s));
  if (Math.abs(r) >= shows) all.push(named("rest", r));
  const right = Math.max(...[0, f, f + s, f + s + r].map(bound));
  const [at, until] = free(bound(f), notch);
  const fits = Math.min(bound(f), until) - at >= inside;
  // Where there is no room behind what is drawn all of them stand in the long filled part.
  if (right > crowded && fits) return [{ how: "within", at, until, text: all.join(" · ") }];
  /** @type {Told[]} */
  const out = fits ? [{ how: "within", at, until, text: all.shift() ?? "" }] : [];
  if (all.length > 0) out.push({ how: "after", at: right, until: high, text: all.join(" · ") });
  return out;
}

/**
 * From where to where a figure may stand that begins in the filled part: up to the end of the beam, or on the longer
 * side of the notch, which would run through it.
 * @param {number} f
 * @param {number} notch
 * @returns {[number, number]}
 */
function free(f, notch) {
  if (notch <= 0 || notch >= f) return [0, high];
  return f - notch >= notch ? [notch, high] : [0, notch];
}

/**
 * @param {string} id
 * @param {number} db
 */
const named = (id, db) => label(id, { by: plus(db) });

function figure() {
  const el = make("em");
  return {
    el,
    /** @param {Told} told */
    write({ how, at, until, text }) {
      if (el.className !== how) el.className = how;
      put(el, "left", percent(at));
      put(el, "right", `calc(100% - ${percent(until)})`); // where what does not fit is cut off
      say(el, text);
    },
  };
}

/**
 * @param {number} db
 * @param {string} text
 */
function tick(db, text) {
  const el = make("b", db === 0 ? "set" : db === low || db === high ? "end" : "", text);
  put(el, "left", percent(db));
  return el;
}

/** @param {number} db */
const steps = (db) => (db > 0 ? "+" : "−") + whole(Math.abs(db));

/** @param {number} db */
const bound = (db) => Math.min(Math.max(db, low), high);

/** @param {number} db */
const percent = (db) => `${(((bound(db) - low) / (high - low)) * 100).toFixed(2)}%`;

/**
 * A part of the change from a to b, where there is anything of it.
 * @param {HTMLElement} el
 * @param {number} a
 * @param {number} b
 */
function reach(el, a, b) {
  const any = Math.abs(b - a) >= shows;
  show(el, any);
  if (any) span(el, a, b);
}

/**
 * @param {HTMLElement} el
 * @param {number} a
 * @param {number} b
 */
function span(el, a, b) {
  put(el, "left", percent(Math.min(a, b)));
  put(el, "right", `calc(100% - ${percent(Math.max(a, b))})`);
}
