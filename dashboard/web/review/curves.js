// The curves of one service: an overview that is always there, and the detail of what
// is in sight, fetched once the view has come to rest. What is drawn is made of both.

import { get } from "./ask.js";

/** @typedef {import("../frames.js").Curves} Curves */

const rest = 150; // ms without a change before detail is worth asking for
const again = 4000; // ms after a failure
const overviewPoints = 1200;

/**
 * The columns of the chart of the total: time, the mark's line, three upper and three
 * lower edges of the tints, the total, its lowest and its highest.
 * @typedef {(number|null)[][]} Columns
 */

/**
 * @param {number} id of the service
 * @param {{fresh: () => void, trouble: (why: unknown) => void}} to
 */
export function newCurves(id, to) {
  /** @type {Curves|null} */
  let overview = null;
  /** @type {Curves|null} */
  let detail = null;
  /** @type {number|undefined} */
  let waiting;
  let asked = 0;
  let columns = columnsOf(null, null);

  /**
   * @param {Curves|null} o
   * @param {Curves|null} d
   */
  function keep(o, d) {
    overview = o;
    detail = d;
    columns = columnsOf(o, d);
    to.fresh();
  }

  return {
    columns: () => columns,
    pieces: () => pieces(overview, detail),

    /** Fetches the whole of it anew, as for a service that goes on. */
    async refresh() {
      keep(await get(`services/${id}/curves`, { points: overviewPoints }), detail);
    },

    /**
     * Asks for detail once the view rests, unless what is there will do.
     * @param {number} from
     * @param {number} until
     * @param {number} points as many as the plot is wide
     */
    want(from, until, points) {
      clearTimeout(waiting);
      if (!overview || points < 1) return;
      const step = Math.max(1, Math.ceil((until - from) / points));
      const enough = (/** @type {Curves|null} */ c) => c !== null && c.step <= step && c.from <= from && c.from + c.step * c.rise_db.length >= until;
      if (enough(overview) || enough(detail)) return;
      waiting = setTimeout(async () => {
        const mine = ++asked;
        // A little more on both sides, so that a small movement finds it there already.
        const more = (until - from) / 2;
        try {
          const fresh = await get(`services/${id}/curves`, { from: from - more, until: until + more, points: Math.min(points * 2, 2000) });
          if (mine === asked) keep(overview, fresh);
        } catch (why) {
          to.trouble(why);
          waiting = setTimeout(() => this.want(from, until, points), again);
        }
      }, rest);
    },
  };
}

/**
 * A stretch of points with the same step, out of one answer.
 * @typedef {{curves: Curves, first: number, last: number}} Piece
 */

/**
 * The overview with the detail in its place.
 * @param {Curves|null} overview
 * @param {Curves|null} detail
 * @returns {Piece[]}
 */
function pieces(overview, detail) {
  if (!overview) return [];
  const n = overview.rise_db.length;
  if (!detail || detail.step >= overview.step) return [{ curves: overview, first: 0, last: n }];
  const until = detail.from + detail.step * detail.rise_db.length;
  const before = Math.max(0, Math.min(n, Math.floor((detail.from - overview.from) / overview.step)));
  const after = Math.max(before, Math.min(n, Math.ceil((until - overview.from) / overview.step)));
  return [
    { curves: overview, first: 0, last: before },
    { curves: detail, first: 0, last: detail.rise_db.length },
    { curves: overview, first: after, last: n },
  ];
}

/**
 * The moment that a point stands for.
 * @param {Curves} curves
 * @param {number} i
 */
export const middle = (curves, i) => curves.from + (i + 0.5) * curves.step;

/**
 * @param {Curves|null} overview
 * @param {Curves|null} detail
 * @returns {Columns}
 */
function columnsOf(overview, detail) {
  /** @type {Columns} */
  const out = Array.from({ length: 11 }, () => []);
  for (const { curves, first, last } of pieces(overview, detail)) {
    for (let i = first; i < last; i++) {
      edges(curves, i).forEach((edge, k) => out[k].push(edge));
      out[9].push(curves.rise_low_db[i]);
      out[10].push(curves.rise_high_db[i]);
    }
  }
  return out;
}

/**
 * Causes above the mark stack upwards and those below it downwards, so that a band that
 * grew while the faders came down is seen as both, and not as nothing.
 * @param {Curves} curves
 * @param {number} i
 * @returns {(number|null)[]}
 */
function edges(curves, i) {
  const t = middle(curves, i);
  const [rise, faders, stage] = [curves.rise_db[i], curves.faders_db[i], curves.stage_db[i]];
  if (rise === null || faders === null || stage === null) return [t, ...Array(8).fill(null)];
  const causes = [faders, stage, rise - faders - stage];
  return [t, 0, ...sums(causes, Math.max), ...sums(causes, Math.min), rise];
}

/**
 * @param {number[]} causes
 * @param {(a: number, b: number) => number} side
 */
function sums(causes, side) {
  let sum = 0;
  return causes.map((c) => (sum += side(c, 0)));
}

/**
 * Where the total stood at a moment, or null where nothing is known.
 * @param {Piece[]} some
 * @param {number} t
 */
export function valueAt(some, t) {
  for (const { curves, first, last } of some) {
    const i = Math.floor((t - curves.from) / curves.step);
    if (i < first || i >= last) continue;
    const { rise_db: rise, faders_db: faders, stage_db: stage, groups_db: groups, main_db: main } = curves;
    if (rise[i] === null) return null;
    return { rise: rise[i], faders: faders[i], stage: stage[i], rest: (groups[i] ?? 0) + (main[i] ?? 0), step: curves.step };
  }
  return null;
}

/**
 * How low and how high the chart has to reach, in steps of 3 dB: far enough for all but
 * what falls away at the end of a song.
 * @param {Columns} columns
 * @returns {[number, number]}
 */
export function heights(columns) {
  let lo = -3;
  let hi = 6;
  for (const column of columns.slice(1)) {
    for (const v of column) {
      if (v === null) continue;
      if (v < lo) lo = v;
      if (v > hi) hi = v;
    }
  }
  return [Math.max(-9, 3 * Math.floor(lo / 3)), Math.min(18, 3 * Math.ceil(hi / 3))];
}
