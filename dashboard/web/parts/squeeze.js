// How hard each group's compressor holds on, against the 3 dB that are plenty.
// None at all is as good, and nothing here must read as a goal to reach.

import { byId, make, show, whenChanged } from "../dom.js";
import { amount } from "../words.js";

const plenty = 3; // dB
const gentle = 1;
const top = 10; // dB at the top of an upright; the number above tells of more

/** @returns {(view: import("../types.js").View) => void} */
export function squeeze() {
  const place = byId("squeeze");
  const list = byId("uprights");
  /** @type {import("../types.js").Squeeze[]} */
  let groups = [];
  const draw = whenChanged(() => {
    list.replaceChildren(...groups.map(upright));
    list.toggleAttribute("data-many", groups.length > 3);
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
  const [number, unit] = amount(g.active ? g.reduction : null).split(" ");
  const top = make("span", "amount", number);
  if (unit) top.append(" ", make("small", "", unit));
  const words = feel(g);
  if (words === over) li.dataset.over = "";
  li.append(top, make("span", "feel", words), shaft(g), name);
  return li;
}

const over = "over 3\u00a0dB";

/** @param {import("../types.js").Squeeze} g */
function feel(g) {
  if (!g.active) return "not playing";
  if (g.reduction === null) return "not known";
  // The words must agree with the number above them, which has one decimal.
  const shown = Number(g.reduction.toFixed(1));
  if (shown > plenty) return over;
  if (shown >= gentle) return "within 3\u00a0dB";
  return shown > 0 ? "gentle" : "none";
}

/** @param {import("../types.js").Squeeze} g */
function shaft(g) {
  const el = make("span", "shaft");
  el.setAttribute("aria-hidden", "true");
  const band = make("i", "calm-band"); // from the foot up
  band.style.top = `calc(100% - ${percent(plenty)})`;
  el.append(band);
  if (g.low !== null && g.high !== null) {
    el.append(between("range", g.low, g.high), at("tick", g.low), at("tick", g.high));
  }
  if (g.active && g.reduction !== null) el.append(at("median", g.reduction));
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
