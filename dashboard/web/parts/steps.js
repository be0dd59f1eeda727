// The raises and lowers on the tide: a small stair where each happened, and its
// name where there is room for one.

import { called, number } from "../words.js";
import { crest } from "./water.js";

/** @import uPlot from "../vendor/uplot.js" */

/**
 * All in canvas pixels. A label stands on `bottom` and ends at `right`.
 * @typedef {{left: number, right: number, top: number, bottom: number}} Box
 * @typedef {{x: number, text: string, left: number, right: number}} Label
 * @typedef {(token: string) => any} Paint
 */

const widest = 6; // half a stair's width, in CSS pixels, where there is room
const slimmest = 2.5;
const size = 15; // of a name
const row = 18; // from one name to the name above it
const crowd = 6; // names that may share one stretch; older ones give way
const tallest = 3; // rows a name may be pushed up before it is left out

/**
 * @param {uPlot} u
 * @param {import("../types.js").View|null} view
 * @param {Paint} paint
 */
export function drawSteps(u, view, paint) {
  if (!view) return;
  const g = u.ctx;
  g.save();
  g.beginPath();
  g.rect(u.bbox.left, 0, u.bbox.width + u.bbox.left, u.bbox.top + u.bbox.height);
  g.clip();
  drawMark(u, paint);
  const steps = view.moves.filter((m) => m.by_db !== null && m.ended >= (u.scales.x.min ?? 0));
  const edge = waterEdge(u, view.seconds);
  g.font = `${size * devicePixelRatio}px ${getComputedStyle(document.body).fontFamily}`;
  drawNames(u, steps, edge, paint);
  const half = Math.min(widest, Math.max(slimmest, u.width / steps.length / 3));
  for (const step of steps) {
    const x = u.valToPos(step.ended, "x", true);
    // One that happened beyond the picture stands at its edge.
    const y = Math.min(Math.max(edge(x, x), u.bbox.top), u.bbox.top + u.bbox.height);
    drawStair(g, x, y, step.by_db ?? 0, half * devicePixelRatio, paint);
  }
  g.restore();
}

/**
 * @param {uPlot} u
 * @param {Paint} paint
 */
function drawMark(u, paint) {
  const y = Math.round(u.valToPos(0, "y", true));
  u.ctx.strokeStyle = paint("--water");
  u.ctx.lineWidth = 2 * devicePixelRatio;
  u.ctx.beginPath();
  u.ctx.moveTo(u.bbox.left, y);
  u.ctx.lineTo(u.bbox.left + u.bbox.width, y);
  u.ctx.stroke();
}

/**
 * How high the picture reaches between two places; at one place, where the line
 * itself is.
 * @param {uPlot} u
 * @param {import("../frames.js").Second[]} tide
 * @returns {(from: number, to: number) => number}
 */
function waterEdge(u, tide) {
  const mark = u.valToPos(0, "y", true);
  const points = tide
    .filter((one) => one.rise_db !== null)
    .map((one) => ({
      x: u.valToPos(one.t, "x", true),
      top: u.valToPos(crest(one), "y", true),
      line: u.valToPos(one.rise_db ?? 0, "y", true),
    }));
  return (from, to) => {
    if (from === to) return (points.find((p) => p.x >= from) ?? points.at(-1))?.line ?? mark;
    return points.reduce((top, p) => (p.x >= from && p.x <= to ? Math.min(top, p.top) : top), mark);
  };
}

/**
 * @param {CanvasRenderingContext2D} g
 * @param {number} x
 * @param {number} y
 * @param {number} by
 * @param {number} half
 * @param {Paint} paint
 */
function drawStair(g, x, y, by, half, paint) {
  const rise = (by > 0 ? -0.85 : 0.85) * half;
  g.beginPath();
  g.moveTo(x - half, y - rise);
  g.lineTo(x, y - rise);
  g.lineTo(x, y + rise);
  g.lineTo(x + half, y + rise);
  g.strokeStyle = paint("--ground");
  g.lineWidth = half;
  g.stroke();
  g.strokeStyle = paint("--text");
  g.lineWidth = 0.42 * half;
  g.stroke();
}

/**
 * A name ends where its step is and stands just over the water: on a rising tide
 * the free place is up and to the left. One that would cover another goes above
 * it, on a thin stem.
 * @param {uPlot} u
 * @param {import("../frames.js").Moved[]} steps
 * @param {(from: number, to: number) => number} edge
 * @param {Paint} paint
 */
function drawNames(u, steps, edge, paint) {
  const px = devicePixelRatio;
  /** @type {Box[]} */
  const taken = [];
  for (const label of choose(u, steps)) {
    const foot = edge(label.left, label.right) - 8 * px;
    const box = place(label, foot, taken, px);
    if (box.top < 0 || foot - box.bottom > tallest * row * px) continue;
    const stem = { left: label.x - px, right: label.x + px, top: box.bottom, bottom: edge(label.x, label.x) };
    taken.push(box, stem);
    u.ctx.fillStyle = paint("--soft");
    u.ctx.fillRect(stem.left, stem.top + px, px, Math.max(0, stem.bottom - stem.top - 8 * px));
    u.ctx.fillStyle = paint("--text");
    u.ctx.textAlign = "right";
    u.ctx.textBaseline = "bottom";
    u.ctx.fillText(label.text, box.right, box.bottom);
  }
}

/**
 * The steps that get a name, oldest first. The newest choose first.
 * @param {uPlot} u
 * @param {import("../frames.js").Moved[]} steps
 * @returns {Label[]}
 */
function choose(u, steps) {
  /** @type {Label[]} */
  const chosen = [];
  for (const step of steps.slice().reverse()) {
    const x = u.valToPos(step.ended, "x", true);
    const text = `${short(called(step.who))} ${(step.by_db ?? 0) > 0 ? "+" : ""}${number(step.by_db ?? 0)}`;
    const width = u.ctx.measureText(text).width;
    const right = Math.max(x + 2 * devicePixelRatio, u.bbox.left + width);
    const label = { x, text, left: right - width, right };
    if (chosen.filter((other) => label.right > other.left).length < crowd) chosen.push(label);
  }
  return chosen.reverse();
}

/**
 * @param {Label} label
 * @param {number} foot
 * @param {Box[]} taken
 * @param {number} px
 * @returns {Box}
 */
function place({ left, right }, foot, taken, px) {
  const box = { left: left - 6 * px, right, top: foot - row * px, bottom: foot };
  const hits = (/** @type {Box} */ other) =>
    box.left < other.right && box.right > other.left && box.bottom > other.top && box.top < other.bottom;
  // Each pass goes higher, so it ends at the top at the latest.
  for (let other = taken.find(hits); other && box.top >= 0; other = taken.find(hits)) {
    box.bottom = Math.min(other.top, box.bottom - px);
    box.top = box.bottom - row * px;
  }
  return box;
}

/** @param {string} name */
const short = (name) => (name.length > 18 ? name.slice(0, 17).trimEnd() + "…" : name);
