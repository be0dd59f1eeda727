// The tide's arithmetic: from what was sent to the edges of each tint.

const gap = 2; // seconds; one comes each second while the desk is heard

/**
 * Parts above the mark stack upwards and parts below it downwards, so that a band
 * that grew while the faders came down is seen as both, and not as nothing. In
 * the chart's order: time, the water line, three upper edges, three lower edges,
 * the total.
 * @param {import("../frames.js").Second[]} tide
 * @returns {(number|null)[][]}
 */
export function layers(tide) {
  /** @type {(number|null)[][]} */
  const out = Array.from({ length: 9 }, () => []);
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
  if (rise === null || faders === null || stage === null) return [t, ...Array(8).fill(null)];
  const causes = [faders, stage, rise - faders - stage];
  return [t, 0, ...sums(causes, Math.max), ...sums(causes, Math.min), rise];
}

/**
 * How high the picture of one second reaches above the mark; the mark's 0 at the
 * least.
 * @param {import("../frames.js").Second} one
 */
export function crest(one) {
  return edges(one).reduce((/** @type {number} */ top, edge, i) => (i > 0 && edge !== null ? Math.max(top, edge) : top), 0);
}

/**
 * @param {number[]} causes
 * @param {(a: number, b: number) => number} side
 */
function sums(causes, side) {
  let sum = 0;
  return causes.map((c) => (sum += side(c, 0)));
}

const floor = -12; // dB; a pause between songs would flatten the music if it were followed further
const ceiling = 24;
const step = 2;

/** @typedef {[number, number]} Range the lowest and the highest height shown, in dB */

/**
 * The heights that the tide needs: whole steps, never less than a little on both
 * sides, and within bounds. What runs beyond them is in `beyond`.
 * @param {import("../frames.js").Second[]} tide
 * @returns {Range}
 */
export function needed(tide) {
  let lo = -2;
  let hi = 5;
  for (const one of tide) {
    const all = edges(one).slice(1);
    for (const edge of all) {
      if (edge === null) continue;
      lo = Math.min(lo, edge - 0.5);
      hi = Math.max(hi, edge + 1.5);
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
