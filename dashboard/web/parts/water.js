// The tide's arithmetic: from what was sent to the edges of each tint.

/**
 * Parts above the mark stack upwards and parts below it downwards, so that a band
 * that grew while the faders came down is seen as both, and not as nothing. In
 * the chart's order: time, the water line, three upper edges, three lower edges,
 * the total.
 * @param {import("../types.js").Tide[]} tide
 * @returns {(number|null)[][]}
 */
export function layers(tide) {
  /** @type {(number|null)[][]} */
  const out = Array.from({ length: 9 }, () => []);
  for (const one of tide) edges(one).forEach((edge, i) => out[i].push(edge));
  return out;
}

/**
 * @param {import("../types.js").Tide} one
 * @returns {(number|null)[]}
 */
function edges({ t, rise, faders, stage }) {
  // Silence has no height: the tide has a gap there.
  if (rise === null || faders === null || stage === null) return [t, ...Array(8).fill(null)];
  const causes = [faders, stage, rise - faders - stage];
  return [t, 0, ...sums(causes, Math.max), ...sums(causes, Math.min), rise];
}

/**
 * How high the picture of one second reaches above the mark; the mark's 0 at the
 * least.
 * @param {import("../types.js").Tide} one
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

const floor = -6; // dB; what falls lower runs off the foot, as between songs
const ceiling = 24;

/**
 * The heights to show: in whole steps of 2 dB, so that the picture does not
 * breathe with every second, and never less than a little on both sides.
 * @param {import("../types.js").Tide[]} tide
 * @returns {[number, number]}
 */
export function range(tide) {
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
  return [Math.max(floor, 2 * Math.floor(lo / 2)), Math.min(ceiling, 2 * Math.ceil(hi / 2))];
}
