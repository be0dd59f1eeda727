// Where the tide runs off the picture: an arrowhead on that edge, and how far it
// went where there is room to say so.

import { signed } from "../words.js";
import { typeface } from "./paint.js";
import { unit } from "./unit.js";
import { beyond } from "./water.js";

/** @import uPlot from "../vendor/uplot.js" */

const head = 6; // half an arrowhead's width, in CSS pixels
const size = 20; // of a number

/** @typedef {{left: number, right: number, top: number, bottom: number}} Box in canvas pixels */

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
  /** @type {Box[]} */
  const taken = [];
  // The newest is the one to be read, so it has its place first.
  for (const run of beyond(tide, [min, max]).reverse()) {
    if (run.to < start) continue;
    const [from, to] = [Math.max(run.from, start), run.to].map((t) => u.valToPos(t, "x", true));
    const y = run.above ? u.bbox.top : u.bbox.top + u.bbox.height;
    const inward = run.above ? px : -px;
    drawHead(g, (from + to) / 2, y, inward);
    const box = run.far === null ? null : roomFor(u, tide, taken, signed(run.far), [from, to], y + inward * (head * 2 + 5 + size / 2), inward * size * 1.2);
    if (!box) continue;
    taken.push(box);
    drawFar(g, signed(run.far ?? 0), box);
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
 * Room for the number of a run: where the tide is away, or else beside it, in one of two
 * rows, and neither across the tide's line nor over another number.
 * @param {uPlot} u
 * @param {import("../frames.js").Second[]} tide
 * @param {Box[]} taken
 * @param {string} text
 * @param {[number, number]} run where the tide leaves the picture, and where it is back
 * @param {number} y the middle of the row at the edge
 * @param {number} row from there to the next
 * @returns {Box|null}
 */
function roomFor(u, tide, taken, text, [from, to], y, row) {
  const px = devicePixelRatio * unit();
  const wide = u.ctx.measureText(text).width;
  const gap = head * 1.5 * px;
  const tall = (size / 2) * px;
  const { left, width } = u.bbox;
  const inside = to - from > wide + 2 * gap ? [(from + to - wide) / 2] : [];
  for (const middle of [y, y + row]) {
    for (const start of [...inside, from - gap - wide, to + gap]) {
      const box = { left: start, right: start + wide, top: middle - tall, bottom: middle + tall };
      if (box.left < left || box.right > left + width) continue;
      if (taken.some((other) => other.left < box.right + gap && box.left < other.right + gap)) continue;
      if (!crosses(u, tide, { ...box, left: box.left - gap / 2, right: box.right + gap / 2 })) return box;
    }
  }
  return null;
}

/**
 * Whether the line of the tide comes into a box.
 * @param {Pick<uPlot, "posToVal"|"valToPos">} u
 * @param {import("../frames.js").Second[]} tide
 * @param {Box} box
 */
export function crosses(u, tide, box) {
  const [since, until] = [box.left, box.right].map((x) => u.posToVal(x, "x", true));
  let before = NaN;
  for (const { t, rise_db: rise } of tide) {
    const y = rise === null ? NaN : u.valToPos(rise, "y", true);
    if (t > until && Number.isNaN(before)) return false;
    const [top, bottom] = Number.isNaN(before) ? [y, y] : [Math.min(before, y), Math.max(before, y)];
    if (t >= since && top < box.bottom && bottom > box.top) return true;
    if (t > until) return false;
    before = y;
  }
  return false;
}

/**
 * @param {CanvasRenderingContext2D} g
 * @param {string} text
 * @param {Box} box
 */
function drawFar(g, text, box) {
  g.textAlign = "left";
  g.textBaseline = "middle";
  const y = (box.top + box.bottom) / 2;
  g.strokeText(text, box.left, y);
  g.fillText(text, box.left, y);
}
