// The tide: the total against the mark over some minutes, and the faders' part of it.

import "../tongue.js";
import uPlot from "../vendor/uplot.js";
import { byId, make, rows, say, set, show, whenChanged } from "../dom.js";
import { label } from "../labels.js";
import { ago, called, signed, whole } from "../words.js";
import { drawEdges } from "./edge.js";
import { drawBand, drawMarks, episode } from "./marks.js";
import { follow, layers, near, needed, wide } from "./water.js";
import { unit } from "./unit.js";
import { paints, typeface } from "./paint.js";

/** @returns {(view: import("../types.js").View) => void} */
export function tide() {
  const place = byId("tide");
  const plot = byId("tide-plot");
  /** @type {import("../types.js").View|null} */
  let latest = null;
  /** @type {uPlot|null} */
  let chart = null;
  /** @type {import("./water.js").Range|null} */
  let range = null;
  let drawnAt = 0; // the unit that the chart was made for

  let size = { width: 0, height: 0 }; // as it was last seen: to measure after a write is to lay out twice

  function draw() {
    if (!latest?.now || place.hidden || size.width === 0) return;
    if (drawnAt !== unit()) chart = chart?.destroy() ?? null;
    drawnAt = unit();
    chart ??= new uPlot(options(size, () => latest), [[]], plot);
    if (chart.width !== size.width || chart.height !== size.height) chart.setSize(size);
    chart.setData(/** @type {any} */ (layers(latest.seconds)), false);
    const [lo, hi] = (range = follow(range, needed(latest.seconds)));
    chart.batch(() => {
      const end = Math.max(latest?.seconds.at(-1)?.t ?? 0, (latest?.now?.t ?? 0) - 1.5);
      chart?.setScale("x", { min: end - wide(latest?.seconds ?? [], end) * 60, max: end });
      chart?.setScale("y", { min: lo, max: hi });
    });
  }

  const drawWhenNew = whenChanged(() => {
    if (latest) tell(latest);
    draw();
  });
  new ResizeObserver(() => {
    size = { width: plot.clientWidth, height: plot.clientHeight };
    // The first picture takes longer than all else of the page: the figures are shown before it.
    if (chart) draw();
    else setTimeout(draw);
  }).observe(plot);
  return (view) => {
    latest = view;
    const { now, seconds, moves } = view;
    show(place, now !== null && (now.link.phase === "hearing" || now.link.phase === "quiet"));
    if (!now || place.hidden) return;
    const last = seconds.at(-1);
    // Ten minutes are about as wide as they have seconds, so in two of them the picture moves
    // by a few pixels; what somebody did is there at once.
    drawWhenNew([Math.floor((last?.t ?? 0) / 2), moves.length, moves.at(-1)?.t, now.card?.n, now.card?.renewed, now.line?.n, now.line?.renewed, view.contact.live, now.link.phase, view.language, document.documentElement.className].join());
  };
}

/** @param {number} seconds */
const agoInTens = (seconds) => ago(Math.max(10, Math.round(seconds / 10) * 10));

/** @typedef {{place: number, text: string}} Step */

// The places stay, and only what stands in them changes: to put a new one in has every rule
// of the sheet that asks what the page has looked at again, and all of the page with them.
const list = rows(byId("tide-steps"), (/** @type {Step} */ step) => String(step.place), () => {
  const el = make("li");
  return { el, write: ({ text }) => say(el, text) };
});

/**
 * The picture as one sentence, and its latest moves as a list.
 * @param {import("../types.js").View} view
 */
function tell({ now, seconds, moves }) {
  if (!now) return;
  set(byId("tide-plot"), "aria-label", sentence(now, seconds, moves));
  const newest = moves.slice(-12).reverse();
  list(newest.map((m, place) => ({ place, text: `${called(m.who)} ${signed(m.by_db)}, ${agoInTens(now.t - m.ended)}` })));
}

/**
 * "At the mark until 3 min ago; now +6.1 dB, 5.4 of it from the faders; 7 raises."
 * @param {import("../frames.js").Now} now
 * @param {import("../frames.js").Second[]} seconds
 * @param {import("../frames.js").Moved[]} moves
 */
export function sentence(now, seconds, moves) {
  if (now.rise_db === null || !now.mark.set) return label("tide-unknown");
  const left = seconds.findLast((one) => one.rise_db !== null && Math.abs(one.rise_db) <= near);
  const away = Math.abs(now.rise_db) > near;
  const since = away && left ? label("tide-left", { ago: agoInTens(now.t - left.t) }) : away ? "" : label("tide-at");
  const rise = label("tide-now", { rise: signed(now.rise_db), causes: now.words.causes });
  const raised = episode(now) ? label("tide-raises", { n: whole(moves.filter((m) => m.kind === "raise").length) }) : "";
  return [since, rise, raised].filter(Boolean).join(" ");
}

/**
 * @param {{width: number, height: number}} size
 * @param {() => import("../types.js").View|null} latest
 * @returns {uPlot.Options}
 */
function options(size, latest) {
  const paint = paints();
  const font = `${18 * unit()}px ` + typeface();
  const unseen = { stroke: "transparent", width: 0, points: { show: false } };
  const line = { stroke: () => paint("--text"), width: 2.5 * unit(), points: { show: false } };
  const axis = { stroke: () => paint("--soft"), font, ticks: { show: false }, border: { show: false } };
  return {
    ...size,
    legend: { show: false },
    cursor: { show: false },
    padding: [48 * unit(), 24 * unit(), 0, 0], // the bracket and its words stand above
    scales: { x: { time: false, auto: false }, y: { auto: false } },
    series: [{}, unseen, { ...line, stroke: () => paint("--faders") }, line],
    bands: [{ series: [2, 1], fill: () => paint("--hands") }],
    axes: [
      {
        ...axis,
        grid: { show: false },
        size: 32 * unit(),
        gap: 6 * unit(),
        splits: (_, __, min, max) => minuteSteps(min, max),
        values: (u, at) => at.map((t) => timeWords(u, t)),
      },
      {
        ...axis,
        grid: { stroke: () => paint("--edge"), width: 1 },
        size: 64 * unit(),
        gap: 8 * unit(),
        splits: (_, __, min, max) => heights(min, max),
        values: (_, at) => at.map(heightWords),
      },
    ],
    hooks: {
      drawClear: [(u) => drawBand(u, paint)],
      draw: [(u) => drawMarks(u, latest(), paint), (u) => drawEdges(u, latest()?.seconds ?? [], paint)],
    },
  };
}

/**
 * @param {number} min
 * @param {number} max
 */
function minuteSteps(min, max) {
  const step = max - min > 330 ? 2 : 1;
  return [0, 1, 2, 3, 4].map((m) => max - m * step * 60).filter((t) => t > min).reverse();
}

/**
 * @param {number} min
 * @param {number} max
 */
function heights(min, max) {
  const step = max - min > 18 ? 6 : 3;
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
  return back === 0 ? label("now") : label("minutes", { n: whole(back) });
}

/** @param {number} db */
function heightWords(db) {
  if (db === 0) return "0";
  return (db > 0 ? "+" : "−") + Math.abs(db);
}
