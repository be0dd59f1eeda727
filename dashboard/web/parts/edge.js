// Where the tide runs off the picture: an arrowhead on that edge, and how far it
// went where there is room to say so.

import { signed } from "../words.js";
import { typeface } from "./paint.js";
import { unit } from "./unit.js";
import { beyond } from "./water.js";

/** @import uPlot from "../vendor/uplot.js" */

const head = 6; // half an arrowhead's width, in CSS pixels
const size = 20; // of a number

/**
 * @param {uPlot} u
 * @param {import("../frames.js").Second[]} tide
 * @param {(token: string) => any} paint
 */
export function drawEdges(u, tide, paint) {
  const { min, max } = u.scales.y;
  const start = u.scales.x.min ?? 0;
  if (min == null || max == null) return;
  const g = u.ctx;
  const px = devicePixelRatio * unit();
  g.save();
  g.font = `600 ${size * px}px ${typeface()}`;
  g.lineJoin = "round";
  g.lineWidth = 4 * px;
  g.strokeStyle = paint("--ground");
  g.fillStyle = paint("--text");
  const free = { above: Infinity, below: Infinity }; // where the numbers on that edge begin
  // The newest is the one to be read, so it has its place first.
  for (const run of beyond(tide, [min, max]).reverse()) {
    if (run.to < start) continue;
    const side = run.above ? "above" : "below";
    const x = u.valToPos((Math.max(run.from, start) + run.to) / 2, "x", true);
    const y = run.above ? u.bbox.top : u.bbox.top + u.bbox.height;
    const inward = run.above ? px : -px;
    drawHead(g, x, y, inward);
    free[side] = drawFar(u, run, x, y + inward * (head * 2 + 5 + size / 2), free[side]);
  }
  g.restore();
}

/**
 * @param {CanvasRenderingContext2D} g
 * @param {number} x
 * @param {number} y
 * @param {number} inward one CSS pixel, away from the edge
 */
function drawHead(g, x, y, inward) {
  const half = Math.abs(inward) * head;
  g.beginPath();
  g.moveTo(x, y + inward * 2);
  g.lineTo(x - half, y + inward * (head * 1.6 + 2));
  g.lineTo(x + half, y + inward * (head * 1.6 + 2));
  g.closePath();
  g.stroke();
  g.fill();
}

/**
 * Says how far a run went, unless that would cover the number to its right.
 * @param {uPlot} u
 * @param {import("./water.js").Beyond} run
 * @param {number} x
 * @param {number} y
 * @param {number} free where the number to the right begins
 * @returns {number} where the leftmost number now begins
 */
function drawFar(u, run, x, y, free) {
  if (run.far === null) return free;
  const g = u.ctx;
  const text = signed(run.far);
  const half = g.measureText(text).width / 2;
  const { left, width } = u.bbox;
  const middle = Math.min(Math.max(x, left + half), left + width - half);
  if (middle + half + head * devicePixelRatio * unit() > free) return free;
  g.textAlign = "center";
  g.textBaseline = "middle";
  g.strokeText(text, middle, y);
  g.fillText(text, middle, y);
  return middle - half;
}
