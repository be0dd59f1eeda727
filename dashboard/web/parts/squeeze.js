// How hard each group's compressor holds on, against the 3 dB that are plenty.
// None at all is as good, and nothing here must read as a goal to reach.

import { byId, make, rows, say, show } from "../dom.js";
import { number } from "../words.js";

/** @typedef {import("../frames.js").GroupPicture} Group */

const plenty = 3; // dB
const gentle = 1;
const top = 10; // dB at the top of an upright; the number above tells of more

/** @returns {(view: import("../types.js").View) => void} */
export function squeeze() {
  const place = byId("squeeze");
  const list = byId("uprights");
  const draw = rows(list, (/** @type {Group} */ g) => String(g.who.index), upright);
  return ({ now }) => {
    const figures = now?.link.phase === "hearing" || now?.link.phase === "quiet";
    const groups = (figures && now?.groups) || [];
    draw(groups);
    list.toggleAttribute("data-many", groups.length > 3);
    show(place, groups.length > 0);
  };
}

function upright() {
  const el = make("li", "upright");
  const amount = make("span", "amount");
  const figure = make("span");
  const unit = make("small", "", "dB");
  amount.append(figure, " ", unit);
  const words = make("span", "feel");
  const shaft = newShaft();
  const name = make("span", "name");
  el.append(amount, words, shaft.el, name);
  return {
    el,
    /** @param {Group} g */
    write(g) {
      const now = g.active && g.known ? g.median_db : null;
      el.toggleAttribute("data-resting", !g.active);
      say(figure, now === null ? "–" : number(now));
      show(unit, now !== null);
      say(words, feel(g, now));
      el.toggleAttribute("data-over", words.textContent === over);
      shaft.write(g, now);
      say(name, g.who.name);
      if (name.title !== g.who.name) name.title = g.who.name;
    },
  };
}

const over = "over 3\u00a0dB";

/**
 * @param {Group} g
 * @param {number|null} now
 */
function feel(g, now) {
  if (!g.active) return "not playing";
  if (now === null) return "not known";
  // The words must agree with the number above them, which has one decimal.
  const shown = Number(now.toFixed(1));
  if (shown > plenty) return over;
  if (shown >= gentle) return "within 3\u00a0dB";
  return shown > 0 ? "gentle" : "none";
}

function newShaft() {
  const el = make("span", "shaft");
  el.setAttribute("aria-hidden", "true");
  const [band, range, low, high, median] = ["calm-band", "range", "tick", "tick", "median"].map((name) => make("i", name));
  band.style.top = from(plenty); // from the foot up
  el.append(band, range, low, high, median);
  return {
    el,
    /**
     * @param {Group} g
     * @param {number|null} now
     */
    write(g, now) {
      const spread = g.known && g.low_db !== null && g.high_db !== null ? { low: g.low_db, high: g.high_db } : null;
      for (const mark of [range, low, high]) show(mark, spread !== null);
      show(median, now !== null);
      if (spread) {
        set(range, "bottom", percent(spread.low));
        set(range, "top", from(spread.high));
        set(low, "bottom", percent(spread.low));
        set(high, "bottom", percent(spread.high));
      }
      if (now !== null) set(median, "bottom", percent(now));
    },
  };
}

/** @param {number} db */
const percent = (db) => `${((Math.min(Math.max(db, 0), top) / top) * 96 + 2).toFixed(1)}%`;

/** @param {number} db */
const from = (db) => `calc(100% - ${percent(db)})`;

/**
 * @param {HTMLElement} el
 * @param {"top"|"bottom"} side
 * @param {string} at
 */
function set(el, side, at) {
  if (el.dataset[side] !== at) el.style[side] = el.dataset[side] = at;
}
