// The tide's arithmetic: from what was sent to the edges of each tint.

/** Decibels about the mark that are as good as it. */
export const near = 1;

const gap = 2; // seconds; one comes each second while the desk is heard

/**
 * In the chart's order: time, the mark, the faders' part, the total.
 * @param {import("../frames.js").Second[]} tide
 * @returns {(number|null)[][]}
 */
export function layers(tide) {
  /** @type {(number|null)[][]} */
  const out = [[], [], [], []];
  let before = Infinity;
  for (const one of tide) {
    // Nothing was heard between these two, so nothing may be drawn.
    if (one.t - before > gap) out.forEach((column, i) => column.push(i === 0 ? before + gap / 2 : null));
    edges(one).forEach((edge, i) => out[i].push(edge));
    before = one.t;
  }
  return out;
}

/**
 * @param {import("../frames.js").Second} one
 * @returns {(number|null)[]}
 */
function edges({ t, rise_db: rise, split: { faders_db: faders, stage_db: stage } }) {
  // Silence has no height: the tide has a gap there.
  if (rise === null || faders === null || stage === null) return [t, null, null, null];
  return [t, 0, faders, rise];
}

/** Minutes that the picture is wide, by how much there is to show: the first three minutes
 * would else be a corner of it. */
const widths = [3, 5, 10];

/**
 * @param {import("../frames.js").Second[]} tide
 * @param {number} end the newest moment of the picture
 */
export function wide(tide, end) {
  const minutes = tide.length > 0 ? (end - tide[0].t) / 60 : 0;
  return widths.find((w) => minutes <= w) ?? widths[widths.length - 1];
}

const floor = -12; // dB; a pause between songs would flatten the music if it were followed further
const ceiling = 24;
const step = 3;
const always = /** @type {const} */ ([-3, 9]); // the beam's own scale

/** @typedef {[number, number]} Range the lowest and the highest height shown, in dB */

/**
 * The heights that the tide needs: whole steps, never less than a little on both
 * sides, and within bounds. What runs beyond them is in `beyond`.
 * @param {import("../frames.js").Second[]} tide
 * @returns {Range}
 */
export function needed(tide) {
  let [lo, hi] = /** @type {Range} */ ([...always]);
  for (const one of tide) {
    const all = edges(one).slice(1);
    for (const edge of all) {
      if (edge === null) continue;
      lo = Math.min(lo, edge);
      hi = Math.max(hi, edge);
    }
  }
  return [Math.max(floor, step * Math.floor(lo / step)), Math.min(ceiling, step * Math.ceil(hi / step))];
}

/**
 * The range to show next. It grows at once, by no more than is needed, and comes
 * back only when more than one step of it has gone unused: the picture must not
 * breathe.
 * @param {Range|null} shown
 * @param {Range} want
 * @returns {Range}
 */
export function follow(shown, want) {
  if (!shown) return want;
  const near = (/** @type {number} */ had, /** @type {number} */ wants, /** @type {number} */ unused) =>
    unused >= 0 && unused <= step ? had : wants;
  return [near(shown[0], want[0], want[0] - shown[0]), near(shown[1], want[1], shown[1] - want[1])];
}

/**
 * A stretch of seconds in which the picture runs off one edge. `far` is how far
 * the total itself went, or null when only a tint ran off.
 * @typedef {{from: number, to: number, above: boolean, far: number|null}} Beyond
 */

/**
 * Every stretch that runs off the range, oldest first.
 * @param {import("../frames.js").Second[]} tide
 * @param {Range} range
 * @returns {Beyond[]}
 */
export function beyond(tide, [lo, hi]) {
  /** @type {Beyond[]} */
  const found = [];
  for (const above of [false, true]) {
    const off = (/** @type {number|null} */ edge) => edge !== null && (above ? edge > hi : edge < lo);
    /** @type {Beyond|null} */
    let run = null;
    for (const one of tide) {
      if (!edges(one).slice(1).some(off)) {
        run = null;
        continue;
      }
      if (!run) found.push((run = { from: one.t, to: one.t, above, far: null }));
      run.to = one.t;
      if (off(one.rise_db)) run.far = (above ? Math.max : Math.min)(run.far ?? 0, one.rise_db ?? 0);
    }
  }
  return found.sort((a, b) => a.from - b.from);
}
