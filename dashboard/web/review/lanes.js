// The rows of the timeline, but for the total: the time of day, the segments, what Pawl
// said, each group's compression, each fader's staircase. All draw the span in sight.

import { paints } from "../parts/paint.js";
import { hour, segmentName } from "./said.js";
import { middle } from "./curves.js";

const paint = paints();
/** @type {Map<string, string>} */
const inks = new Map();

/**
 * A token's colour, asked of the page once a frame: a frame needs it hundreds of times.
 * @param {string} token
 */
function ink(token) {
  let colour = inks.get(token);
  if (!colour) inks.set(token, (colour = /** @type {string} */ (paint(token))));
  return colour;
}

/** Call it at the start of each frame: the page may have turned pale. */
export const newInk = () => inks.clear();

/**
 * @typedef {{from: number, until: number}} Bounds
 * @typedef {CanvasRenderingContext2D} G
 */

/**
 * @param {Bounds} span
 * @param {number} width
 */
const scale = ({ from, until }, width) => (/** @type {number} */ t) => ((t - from) / (until - from)) * width;

/** @type {string|undefined} */
let font;
const face = () => (font ??= `16px ${getComputedStyle(document.body).fontFamily}`);

const steps = [10, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200];

/**
 * Whole times of day, as far apart as their words need.
 * @param {import("../frames.js").Service} service
 * @param {Bounds} span
 * @param {number} width
 */
function times(service, { from, until }, width) {
  const began = Date.parse(service.began) / 1000;
  const step = steps.find((s) => (s / (until - from)) * width > 84) ?? 14400;
  const all = [];
  for (let at = Math.ceil((began + from) / step) * step; at <= began + until; at += step) all.push(at - began);
  return { all, step };
}

/**
 * @param {G} g
 * @param {number} width
 * @param {number} height
 * @param {import("../frames.js").Service} service
 * @param {Bounds} span
 * @param {(service: import("../frames.js").Service, t: number) => string} clock
 */
export function drawTimes(g, width, height, service, span, clock) {
  const x = scale(span, width);
  g.font = face();
  g.textBaseline = "middle";
  const { all, step } = times(service, span, width);
  for (const t of all) {
    g.fillStyle = ink("--edge");
    g.fillRect(Math.round(x(t)), height - 6, 1, 6);
    g.fillStyle = ink("--soft");
    const words = (step < 60 ? clock : hour)(service, t);
    const wide = g.measureText(words).width;
    g.fillText(words, Math.min(Math.max(x(t) - wide / 2, 0), width - wide), height / 2 - 3);
  }
}

/**
 * @param {G} g
 * @param {number} width
 * @param {number} height
 * @param {import("../frames.js").ReviewOne} one
 * @param {Bounds} span
 */
export function drawSegments(g, width, height, { timeline, remarks }, span) {
  const x = scale(span, width);
  g.font = face();
  g.textBaseline = "middle";
  timeline.segments.forEach((segment) => {
    const left = x(segment.from);
    const right = x(segment.until);
    if (right < 0 || left > width) return;
    g.fillStyle = ink(segment.kind === "music" ? "--raised" : "--ground");
    g.fillRect(left, 0, right - left, height);
    g.strokeStyle = ink("--rim");
    g.lineWidth = 1;
    g.setLineDash(segment.kind === "music" ? [] : [3, 3]);
    g.strokeRect(Math.round(left) + 0.5, 0.5, right - left - 1, height - 1);
    g.setLineDash([]);
    const room = Math.min(right, width) - Math.max(left, 0) - 12;
    if (room < 24) return;
    g.fillStyle = ink(segment.name ? "--text" : "--soft");
    g.fillText(fitted(g, segmentName(segment), room), Math.max(left, 0) + 6, height / 2);
  });
  drawGaps(g, height, timeline, span, width);
  g.fillStyle = ink("--text");
  for (const { t } of remarks) {
    g.beginPath();
    g.moveTo(x(t), height - 11);
    g.lineTo(x(t) - 6, height);
    g.lineTo(x(t) + 6, height);
    g.fill();
  }
}

/**
 * Times of which nothing is known.
 * @param {G} g
 * @param {number} height
 * @param {import("../frames.js").Timeline} timeline
 * @param {Bounds} span
 * @param {number} width
 */
export function drawGaps(g, height, timeline, span, width) {
  const x = scale(span, width);
  for (const { from, until } of timeline.gaps) {
    if (x(until) < 0 || x(from) > width) continue;
    g.fillStyle = paint("--edge", "slanted");
    g.fillRect(x(from), 0, Math.max(2, x(until) - x(from)), height);
  }
}

/**
 * @param {G} g
 * @param {string} text
 * @param {number} room
 */
function fitted(g, text, room) {
  if (g.measureText(text).width <= room) return text;
  let n = text.length;
  while (n > 1 && g.measureText(text.slice(0, n) + "…").width > room) n--;
  return n > 1 ? text.slice(0, n) + "…" : "";
}

/** @typedef {import("../frames.js").Told} Told */

const tracks = 4;
export const trackHeight = 24;

/**
 * In which of a few tracks each finding stands, so that those at one time do not lie on
 * one another.
 * @param {Told[]} told
 * @param {number} length of the service
 * @returns {number[]}
 */
export function tracked(told, length) {
  const free = Array(tracks).fill(-Infinity);
  return told.map((one) => {
    const track = Math.max(0, free.findIndex((until) => until <= one.from));
    free[track] = (one.until ?? length) + length / 60;
    return track;
  });
}

/** @param {Told} one */
const colour = (one) => (one.said.weight === "now" ? "--now" : one.said.shown ? "--press" : "--rim");

/**
 * @param {G} g
 * @param {number} width
 * @param {number} height
 * @param {import("../frames.js").Timeline} timeline
 * @param {number[]} track of each finding
 * @param {Bounds} span
 * @param {number} open the number of the finding that is open; 0 for none
 */
export function drawTold(g, width, height, timeline, track, span, open) {
  const x = scale(span, width);
  const high = trackHeight;
  drawGaps(g, height, timeline, span, width);
  timeline.told.forEach((one, i) => {
    const left = x(one.from);
    const right = x(one.until ?? timeline.length);
    if (right < -10 || left > width + 10) return;
    const y = (track[i] + 0.5) * high;
    g.fillStyle = g.strokeStyle = ink(colour(one));
    g.globalAlpha = one.said.shown ? 0.5 : 0.3;
    g.fillRect(left, y - 1.5, Math.max(right - left, 0), 3);
    g.globalAlpha = 1;
    drawMark(g, one, left, y);
    if (one.number !== open) return;
    g.strokeStyle = ink("--focus");
    g.lineWidth = 2;
    g.strokeRect(left - 9, y - 9, Math.max(right - left, 0) + 18, 18);
  });
}

/**
 * What came to the screen is filled, what stayed off it is a ring; what could not wait
 * is a square.
 * @param {G} g
 * @param {Told} one
 * @param {number} x
 * @param {number} y
 */
function drawMark(g, one, x, y) {
  g.lineWidth = 2;
  g.beginPath();
  if (one.said.weight === "now") g.rect(x - 6, y - 6, 12, 12);
  else g.arc(x, y, one.said.weight === "nudge" ? 6 : 4, 0, 7);
  if (one.said.shown) g.fill();
  else g.stroke();
}

/**
 * The finding at a place of its lane, if there is one near.
 * @param {import("../frames.js").Timeline} timeline
 * @param {number[]} track
 * @param {Bounds} span
 * @param {{x: number, y: number, width: number, height: number}} at
 */
export function toldAt(timeline, track, span, at) {
  const x = scale(span, at.width);
  const near = 22;
  let best = 0;
  let least = near;
  timeline.told.forEach((one, i) => {
    const left = x(one.from);
    const right = x(one.until ?? timeline.length);
    const off = Math.max(0, left - at.x, at.x - right);
    const away = Math.hypot(off, at.y - (track[i] + 0.5) * trackHeight) - (Math.abs(at.x - left) < 8 ? 4 : 0);
    if (away < least) {
      least = away;
      best = one.number;
    }
  });
  return best;
}

const mostSqueeze = 9; // dB; more than that is drawn at the edge

/**
 * How much was plenty at a moment, by the limits of then.
 * @param {import("../frames.js").Timeline} timeline
 * @param {number} t
 */
export function plentyAt({ plenty }, t) {
  let most = plenty[0]?.most_db ?? 3;
  for (const p of plenty) if (p.from <= t) most = p.most_db ?? most;
  return most;
}

/**
 * @param {G} g
 * @param {number} width
 * @param {number} height
 * @param {import("./curves.js").Piece[]} pieces
 * @param {import("../frames.js").Timeline} timeline
 * @param {number} group
 * @param {Bounds} span
 */
export function drawSqueeze(g, width, height, pieces, timeline, group, span) {
  const x = scale(span, width);
  // It hangs from above, as gain that is taken away.
  const y = (/** @type {number} */ db) => (Math.min(db, mostSqueeze) / mostSqueeze) * (height - 4);
  g.fillStyle = ink("--edge");
  g.fillRect(0, 0, width, 1);
  timeline.plenty.forEach((p, i) => {
    const left = i === 0 ? 0 : Math.max(0, x(p.from));
    const right = Math.min(width, x(timeline.plenty[i + 1]?.from ?? timeline.length));
    if (right > left) g.fillRect(left, Math.round(y(plentyAt(timeline, p.from))), right - left, 1);
  });
  const band = new Path2D();
  const line = new Path2D();
  const over = new Path2D();
  for (const { curves, first, last } of pieces) {
    const lines = curves.squeeze[group];
    if (!lines) continue;
    const from = Math.max(first, Math.floor((span.from - curves.from) / curves.step) - 1);
    const until = Math.min(last, Math.ceil((span.until - curves.from) / curves.step) + 1);
    let pen = false;
    for (let i = from; i < until; i++) {
      const median = lines.median_db[i];
      const low = lines.low_db[i] ?? 0;
      const high = lines.high_db[i] ?? 0;
      if (median === null) {
        pen = false;
        continue;
      }
      const left = x(curves.from + i * curves.step);
      const wide = x(curves.from + (i + 1) * curves.step) - left + 0.3;
      band.rect(left, y(low), wide, y(high) - y(low));
      const plenty = plentyAt(timeline, curves.from + i * curves.step);
      if (median > plenty) over.rect(left, y(plenty), wide, y(median) - y(plenty));
      const at = x(middle(curves, i));
      if (pen) line.lineTo(at, y(median));
      else line.moveTo(at, y(median));
      pen = true;
    }
  }
  g.fillStyle = ink("--edge");
  g.fill(band);
  g.fillStyle = ink("--now");
  g.fill(over);
  g.strokeStyle = ink("--text");
  g.lineWidth = 1.5;
  g.stroke(line);
}

/**
 * How far a fader went, for the height of its row.
 * @param {import("../frames.js").Staircase} mover
 * @returns {[number, number]}
 */
export function reach(mover) {
  let lo = Infinity;
  let hi = -Infinity;
  for (const { from_db, to_db } of mover.steps) {
    for (const db of [from_db, to_db]) {
      if (db === null) continue;
      lo = Math.min(lo, db);
      hi = Math.max(hi, db);
    }
  }
  if (lo > hi) return [-1, 1];
  const middle = (lo + hi) / 2;
  const half = Math.max((hi - lo) / 2, 3);
  return [middle - half, middle + half];
}

/**
 * @param {G} g
 * @param {number} width
 * @param {number} height
 * @param {import("../frames.js").Staircase} mover
 * @param {[number, number]} range
 * @param {Bounds} span
 */
export function drawStairs(g, width, height, mover, [lo, hi], span) {
  const x = scale(span, width);
  const edge = 5;
  const y = (/** @type {number|null} */ db) => (db === null ? height - 1 : edge + ((hi - db) / (hi - lo)) * (height - 2 * edge - 3));
  g.fillStyle = ink("--edge");
  g.fillRect(0, height - 1, width, 1);
  let at = -1e9;
  let stands = mover.steps[0].from_db;
  const still = new Path2D();
  const closed = new Path2D();
  const up = new Path2D();
  const down = new Path2D();
  /** @param {number} until */
  const rest = (until) => {
    if (until < span.from || at > span.until) return;
    const line = stands === null ? closed : still;
    line.moveTo(Math.max(x(at), -5), y(stands));
    line.lineTo(Math.min(x(until), width + 5), y(stands));
  };
  for (const step of mover.steps) {
    stands = step.from_db;
    rest(step.began);
    if (step.ended >= span.from && step.began <= span.until) {
      const line = y(step.to_db) < y(step.from_db) ? up : down;
      const left = x(step.began);
      line.moveTo(left, y(step.from_db));
      line.lineTo(Math.max(x(step.ended), left + 1), y(step.to_db));
    }
    at = step.ended;
    stands = step.to_db;
  }
  rest(1e9);
  g.lineCap = "round";
  /** @type {[Path2D, string, number, number[]][]} */
  const lines = [[still, "--soft", 1.5, []], [closed, "--rim", 1, [2, 4]], [down, "--soft", 2.5, []], [up, "--faders", 3.5, []]];
  for (const [path, token, wide, dash] of lines) {
    g.strokeStyle = ink(token);
    g.lineWidth = wide;
    g.setLineDash(dash);
    g.stroke(path);
  }
  g.setLineDash([]);
}
