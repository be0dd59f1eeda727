// What stands on the tide besides its lines: the mark with a band of 1 dB about it, a tick
// for each move, and one bracket over the moves that the card or the whisper is about.

import { called } from "../words.js";
import { typeface } from "./paint.js";
import { unit } from "./unit.js";
import { near } from "./water.js";

/** @import uPlot from "../vendor/uplot.js" */
/** @typedef {(token: string) => any} Paint */

const tall = 12; // of a tick, in CSS pixels
const size = 20; // of the bracket's words

/**
 * Under the lines.
 * @param {uPlot} u
 * @param {Paint} paint
 */
export function drawBand(u, paint) {
  const { left, width } = u.bbox;
  const top = u.valToPos(near, "y", true);
  u.ctx.fillStyle = paint("--within");
  u.ctx.fillRect(left, top, width, u.valToPos(-near, "y", true) - top);
}

/**
 * Over the lines.
 * @param {uPlot} u
 * @param {import("../types.js").View|null} view
 * @param {Paint} paint
 */
export function drawMarks(u, view, paint) {
  drawMark(u, paint);
  if (!view?.now) return;
  const from = u.scales.x.min ?? 0;
  for (const move of view.moves) if (move.by_db !== null && move.ended >= from) drawTick(u, move, paint);
  drawBracket(u, episode(view.now), paint);
}

/**
 * @param {uPlot} u
 * @param {Paint} paint
 */
function drawMark(u, paint) {
  const px = devicePixelRatio * unit();
  const y = Math.round(u.valToPos(0, "y", true));
  u.ctx.fillStyle = paint("--water");
  u.ctx.fillRect(u.bbox.left, y - px, u.bbox.width, 2 * px);
}

/**
 * A raise stands on the floor; a lowering hangs half as far below it.
 * @param {uPlot} u
 * @param {import("../frames.js").Moved} move
 * @param {Paint} paint
 */
function drawTick(u, move, paint) {
  const px = devicePixelRatio * unit();
  const x = Math.round(u.valToPos(move.ended, "x", true));
  const floor = u.bbox.top + u.bbox.height - tall * 0.5 * px;
  const up = (move.by_db ?? 0) > 0;
  u.ctx.fillStyle = paint(up ? "--faders" : "--soft");
  u.ctx.fillRect(x - 2 * px, up ? floor - tall * px : floor, 4 * px, (up ? tall : tall / 2) * px);
}

/**
 * The moves that what is on the screen tells of.
 * @param {import("../frames.js").Now} now
 * @returns {{from: number, to: number, text: string}|null}
 */
export function episode({ card, line }) {
  const finding = card ?? (line?.state === "eased" ? null : line);
  const raises = (finding?.facts ?? []).filter((fact) => fact.id === "move.raise");
  if (raises.length < 2) return null;
  const times = raises.map((fact) => fact.t);
  const names = [...new Set(raises.flatMap((fact) => (fact.who?.who ?? []).map(called)))];
  return { from: Math.min(...times), to: Math.max(...times), text: `${raises.length} × ${names.join(", ")}` };
}

/**
 * @param {uPlot} u
 * @param {ReturnType<typeof episode>} span
 * @param {Paint} paint
 */
function drawBracket(u, span, paint) {
  if (!span) return;
  const g = u.ctx;
  const px = devicePixelRatio * unit();
  const { left, width, top } = u.bbox;
  const [a, b] = [span.from, span.to].map((t) => Math.max(left, u.valToPos(t, "x", true)));
  if (b <= left) return;
  g.strokeStyle = paint("--faders");
  g.lineWidth = 2 * px;
  g.beginPath();
  for (const [i, [x, y]] of [[a, 0], [a, -8], [b, -8], [b, 0]].entries()) g[i ? "lineTo" : "moveTo"](x, top - 6 * px + y * px);
  g.stroke();
  g.font = `${size * px}px ${typeface()}`;
  g.fillStyle = paint("--text");
  g.textBaseline = "bottom";
  g.textAlign = "left";
  const text = fitting(g, span.text, width);
  g.fillText(text, Math.min(Math.max(left, b - g.measureText(text).width), left + width), top - 18 * px);
}

/**
 * @param {CanvasRenderingContext2D} g
 * @param {string} text
 * @param {number} width
 */
function fitting(g, text, width) {
  let out = text;
  while (g.measureText(out).width > width && out.length > 2) out = out.slice(0, -2).trimEnd() + "…";
  return out;
}
