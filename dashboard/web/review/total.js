// The total against the mark over the service, and who made it.

import "../tongue.js";
import uPlot from "../vendor/uplot.js";
import { label } from "../labels.js";
import { whole } from "../words.js";
import { paints } from "../parts/paint.js";

const paint = paints();
const unseen = { stroke: "transparent", width: 0, points: { show: false } };

/**
 * @param {HTMLElement} plot
 * @param {import("../frames.js").Timeline} timeline
 */
export function total(plot, timeline) {
  /** @type {uPlot|null} */
  let chart = null;
  /** @type {import("./curves.js").Columns|null} */
  let drawn = null;
  /** @type {[number, number]} */
  let range = [-3, 6];
  /**
   * @param {import("./curves.js").Columns} columns
   * @param {[number, number]} heights
   * @param {number} from
   * @param {number} until
   */
  return (columns, heights, from, until) => {
    if (plot.clientWidth === 0) return;
    chart ??= new uPlot(options(plot, timeline), [[]], plot);
    if (chart.width !== plot.clientWidth || chart.height !== plot.clientHeight) {
      chart.setSize({ width: plot.clientWidth, height: plot.clientHeight });
    }
    if (columns !== drawn) chart.setData(/** @type {any} */ ((drawn = columns)), false);
    range = heights;
    chart.batch(() => {
      chart?.setScale("x", { min: from, max: until });
      chart?.setScale("y", { min: range[0], max: range[1] });
    });
  };
}

/**
 * @param {HTMLElement} plot
 * @param {import("../frames.js").Timeline} timeline
 * @returns {uPlot.Options}
 */
function options(plot, timeline) {
  const line = { stroke: () => paint("--text"), width: 1.75, points: { show: false } };
  return {
    width: plot.clientWidth,
    height: plot.clientHeight,
    legend: { show: false },
    cursor: { show: false },
    padding: [0, 0, 0, 0],
    scales: { x: { time: false, auto: false }, y: { auto: false } },
    series: [{}, ...Array(7).fill(unseen), line, unseen, unseen],
    bands: [
      { series: [10, 9], fill: () => paint("--edge") },
      { series: [2, 1], fill: () => paint("--hands", "solid") },
      { series: [3, 2], fill: () => paint("--stage", "slanted") },
      { series: [4, 3], fill: () => paint("--rest", "upright") },
      { series: [1, 5], fill: () => paint("--hands", "solid") },
      { series: [5, 6], fill: () => paint("--stage", "slanted") },
      { series: [6, 7], fill: () => paint("--rest", "upright") },
          ],
    axes: [{ show: false }, { show: false }],
    hooks: { drawClear: [drawHeights], draw: [(u) => drawWords(u, timeline)] },
  };
}

const step = 3; // dB between two lines

/** @param {uPlot} u */
function drawHeights(u) {
  const { ctx, bbox } = u;
  const { min = 0, max = 0 } = u.scales.y;
  ctx.save();
  for (let db = step * Math.ceil(min / step); db <= max; db += step) {
    ctx.fillStyle = /** @type {string} */ (paint(db === 0 ? "--water" : "--edge"));
    ctx.fillRect(bbox.left, Math.round(u.valToPos(db, "y", true)), bbox.width, (db === 0 ? 2 : 1) * devicePixelRatio);
  }
  ctx.restore();
}

/**
 * What each line is, above all that is drawn, and each moment from which it is measured
 * anew.
 * @param {uPlot} u
 * @param {import("../frames.js").Timeline} timeline
 */
function drawWords(u, timeline) {
  const { ctx, bbox } = u;
  const { min = 0, max = 0 } = u.scales.y;
  ctx.save();
  ctx.font = `${16 * devicePixelRatio}px ${getComputedStyle(document.body).fontFamily}`;
  ctx.textBaseline = "middle";
  ctx.lineJoin = "round";
  ctx.lineWidth = 4 * devicePixelRatio;
  ctx.strokeStyle = /** @type {string} */ (paint("--ground"));
  for (let db = step * Math.ceil(min / step); db <= max; db += step) {
    const y = u.valToPos(db, "y", true);
    if (y < bbox.top + 10 * devicePixelRatio || y > bbox.top + bbox.height - 10 * devicePixelRatio) continue;
    const words = db === 0 ? label("the-mark") : (db > 0 ? "+" : "−") + whole(Math.abs(db)) + (db === step ? " dB" : "");
    ctx.fillStyle = /** @type {string} */ (paint("--soft"));
    ctx.strokeText(words, bbox.left + 4 * devicePixelRatio, y);
    ctx.fillText(words, bbox.left + 4 * devicePixelRatio, y);
  }
  ctx.fillStyle = /** @type {string} */ (paint("--water"));
  for (const { t } of timeline.marks) {
    const x = u.valToPos(t, "x", true);
    if (x < bbox.left || x > bbox.left + bbox.width) continue;
    const y = u.valToPos(0, "y", true);
    const side = 6 * devicePixelRatio;
    ctx.beginPath();
    ctx.moveTo(x, y);
    ctx.lineTo(x - side, y - 1.6 * side);
    ctx.lineTo(x + side, y - 1.6 * side);
    ctx.fill();
  }
  ctx.restore();
}
