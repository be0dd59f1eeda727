// The tide: ten minutes of the total against the mark, and who made it.

import uPlot from "../vendor/uplot.js";
import { byId, make, say, show, whenChanged } from "../dom.js";
import { ago, called, minute, signed } from "../words.js";
import { drawEdges } from "./edge.js";
import { drawSteps } from "./steps.js";
import { follow, layers, needed } from "./water.js";
import { paints } from "./paint.js";

const minutes = 10;

/** @returns {(view: import("../types.js").View) => void} */
export function tide() {
  const place = byId("tide");
  const plot = byId("tide-plot");
  /** @type {import("../types.js").View|null} */
  let latest = null;
  /** @type {uPlot|null} */
  let chart = null;
  /** @type {import("./water.js").Range|null} */
  let heights = null;

  function draw() {
    if (!latest?.now || place.hidden || plot.clientWidth === 0) return;
    chart ??= new uPlot(options(plot, () => latest), [[]], plot);
    const size = { width: plot.clientWidth, height: plot.clientHeight };
    if (chart.width !== size.width || chart.height !== size.height) chart.setSize(size);
    chart.setData(/** @type {any} */ (layers(latest.seconds)), false);
    const [lo, hi] = (heights = follow(heights, needed(latest.seconds)));
    chart.batch(() => {
      const end = Math.max(latest?.seconds.at(-1)?.t ?? 0, (latest?.now?.t ?? 0) - 1.5);
      chart?.setScale("x", { min: end - minutes * 60, max: end });
      chart?.setScale("y", { min: lo, max: hi });
    });
  }

  const drawWhenNew = whenChanged(draw);
  new ResizeObserver(draw).observe(plot);
  return (view) => {
    latest = view;
    const { now, seconds, moves } = view;
    show(place, now !== null && (now.link.phase === "hearing" || now.link.phase === "quiet"));
    if (!now || place.hidden) return;
    legend(now);
    tell(now, moves);
    const last = seconds.at(-1);
    // Once a second is when there is something new to draw.
    drawWhenNew([last?.t, seconds.length, moves.length, moves.at(-1)?.t, view.contact.live, now.link.phase, view.language].join());
  };
}

/** @param {import("../frames.js").Now} now */
function legend(now) {
  const { faders_db, stage_db, groups_db, main_db } = now.split;
  const rest = (groups_db ?? 0) + (main_db ?? 0);
  const begun = now.mark.set;
  say(byId("key-faders"), begun ? signed(faders_db) : "");
  say(byId("key-stage"), now.basis === "faders" ? "not known" : begun ? signed(stage_db) : "");
  say(byId("key-rest"), signed(rest));
  show(byId("key-rest-whole"), Math.abs(rest) >= 0.05);
  markSaid(now);
  const label = now.rise_db === null ? "not known just now" : `${signed(now.rise_db)} against the mark`;
  byId("tide-plot").setAttribute("aria-label", `The total over the last ten minutes; now ${begun ? label : "not known yet"}.`);
}

/**
 * What all figures are measured from: how it came to be, and when.
 * @param {import("../frames.js").Now} now
 */
function markSaid(now) {
  const { mark, words } = now;
  say(byId("mark-at"), mark.set ? `mark: ${words.mark} at ${minute(now, mark.t)}` : "");
  say(byId("mark-ago"), mark.set ? ", " + agoInTens(now.t - mark.t) : "");
}

/** @param {number} seconds */
const agoInTens = (seconds) => ago(Math.max(10, Math.round(seconds / 10) * 10));

const list = whenChanged((text) => {
  byId("tide-steps").replaceChildren(...text.split("\n").filter(Boolean).map((one) => make("li", "", one)));
});

/**
 * @param {import("../frames.js").Now} now
 * @param {import("../frames.js").Moved[]} moves
 */
function tell(now, moves) {
  const newest = moves.slice(-12).reverse();
  list(newest.map((m) => `${called(m.who)} ${signed(m.by_db)}, ${agoInTens(now.t - m.ended)}`).join("\n"));
}

/**
 * @param {HTMLElement} plot
 * @param {() => import("../types.js").View|null} latest
 * @returns {uPlot.Options}
 */
function options(plot, latest) {
  const paint = paints();
  const font = "14px " + getComputedStyle(document.body).fontFamily;
  const unseen = { stroke: "transparent", width: 0, points: { show: false } };
  const line = { stroke: () => paint("--text"), width: 2.5, points: { show: false } };
  const axis = { stroke: () => paint("--soft"), font, ticks: { show: false }, border: { show: false } };
  return {
    width: plot.clientWidth,
    height: plot.clientHeight,
    legend: { show: false },
    cursor: { show: false },
    padding: [8, 14, 0, 0],
    scales: { x: { time: false, auto: false }, y: { auto: false } },
    series: [{}, ...Array(7).fill(unseen), line],
    bands: [
      { series: [2, 1], fill: () => paint("--hands", "solid") },
      { series: [3, 2], fill: () => paint("--stage", "slanted") },
      { series: [4, 3], fill: () => paint("--rest", "upright") },
      { series: [1, 5], fill: () => paint("--hands", "solid") },
      { series: [5, 6], fill: () => paint("--stage", "slanted") },
      { series: [6, 7], fill: () => paint("--rest", "upright") },
    ],
    axes: [
      {
        ...axis,
        grid: { show: false },
        size: 26,
        gap: 6,
        splits: (_, __, min, max) => everyTwoMinutes(min, max),
        values: (u, at) => at.map((t) => timeWords(u, t)),
      },
      {
        ...axis,
        grid: { stroke: () => paint("--edge"), width: 1 },
        size: 56,
        gap: 8,
        splits: (_, __, min, max) => everyTwo(min, max),
        values: (_, at) => at.map(heightWords),
      },
    ],
    hooks: { draw: [(u) => drawSteps(u, latest(), paint), (u) => drawEdges(u, latest()?.seconds ?? [], paint)] },
  };
}

/**
 * @param {number} min
 * @param {number} max
 */
const everyTwoMinutes = (min, max) => [0, 2, 4, 6, 8].map((m) => max - m * 60).filter((t) => t > min).reverse();

/**
 * @param {number} min
 * @param {number} max
 */
function everyTwo(min, max) {
  const step = max - min > 14 ? 4 : 2;
  const splits = [];
  for (let at = Math.ceil(min / step) * step; at <= max; at += step) splits.push(at);
  return splits;
}

/**
 * @param {uPlot} u
 * @param {number} t
 */
function timeWords(u, t) {
  const back = Math.round(((u.scales.x.max ?? t) - t) / 60);
  return back === 0 ? "now" : `${back} min`;
}

/** @param {number} db */
function heightWords(db) {
  if (db === 0) return "mark";
  return (db > 0 ? "+" : "−") + Math.abs(db);
}
