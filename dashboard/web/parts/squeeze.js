// How hard each group's compressor holds on, against the 1–3 dB that is plenty.

import { byId, make, show, whenChanged } from "../dom.js";
import { amount } from "../words.js";

const calmFrom = 1; // dB
const calmTo = 3;
const top = 10; // dB at the top of an upright; the number above tells of more

/** @returns {(view: import("../types.js").View) => void} */
export function squeeze() {
  const place = byId("squeeze");
  const list = byId("uprights");
  /** @type {import("../types.js").Squeeze[]} */
  let groups = [];
  const draw = whenChanged(() => {
    list.replaceChildren(...groups.map(upright));
    show(place, groups.length > 0);
  });
  return ({ state }) => {
    const figures = state?.link.phase === "hearing" || state?.link.phase === "quiet";
    groups = (figures && state?.groups) || [];
    draw(JSON.stringify(groups.map((g) => [g.name, g.active, ...[g.reduction, g.low, g.high].map(amount)])));
  };
}

/** @param {import("../types.js").Squeeze} g */
function upright(g) {
  const li = make("li", "upright");
  if (!g.active) li.dataset.resting = "";
  const name = make("span", "name", g.name);
  name.title = g.name;
  const [number, unit] = amount(g.reduction).split(" ");
  const top = make("span", "amount", number);
  if (unit) top.append(" ", make("small", "", unit));
  li.append(top, make("span", "feel", feel(g)), shaft(g), name);
  return li;
}

/** @param {import("../types.js").Squeeze} g */
function feel(g) {
  if (g.reduction === null) return "not known";
  if (!g.active) return "resting";
  if (g.reduction > calmTo) return "tight";
  return g.reduction < calmFrom ? "light" : "calm";
}

/** @param {import("../types.js").Squeeze} g */
function shaft(g) {
  const el = make("span", "shaft");
  el.setAttribute("aria-hidden", "true");
  el.append(between("calm-band", calmFrom, calmTo));
  if (g.low !== null && g.high !== null) {
    el.append(between("range", g.low, g.high), at("tick", g.low), at("tick", g.high));
  }
  if (g.reduction !== null) el.append(at("median", g.reduction));
  return el;
}

/** @param {number} db */
const percent = (db) => `${(Math.min(Math.max(db, 0), top) / top) * 96 + 2}%`;

/**
 * @param {string} name
 * @param {number} db
 */
function at(name, db) {
  const el = make("i", name);
  el.style.bottom = percent(db);
  return el;
}

/**
 * @param {string} name
 * @param {number} from
 * @param {number} to
 */
function between(name, from, to) {
  const el = at(name, from);
  el.style.top = `calc(100% - ${percent(to)})`;
  return el;
}
