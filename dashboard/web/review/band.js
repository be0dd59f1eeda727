// One service as a band of lanes: its parts, and how to draw the span in sight.

import { make } from "../dom.js";
import { label } from "../labels.js";
import { called, counted, limit, signed, whole } from "../words.js";
import { board } from "./board.js";
import { heights, newCurves, valueAt } from "./curves.js";
import { drawSegments, drawSqueeze, drawStairs, drawTimes, drawTold, newInk, plentyAt, reach, toldAt, trackHeight, tracked } from "./lanes.js";
import { clock, segmentName } from "./said.js";
import { total } from "./total.js";

/** @param {import("../frames.js").Squeezed} group whether it was compressed enough for a row */
const worth = (group) => (group.most_db ?? 0) >= 1;
const openRows = 8; // movers that are shown before somebody asks for the rest

/**
 * @typedef {import("../frames.js").ReviewOne} One
 * @typedef {{from: number, until: number}} Bounds
 */

/**
 * What a band draws from besides its service: the span, the moment pointed at, the
 * finding that is open.
 * @typedef {{span: Bounds, at: number|null, open: number}} Look
 */

/**
 * @param {HTMLElement} place
 * @param {One} first the service as it is now; `take` brings newer
 * @param {{draw: () => void, trouble: (why: unknown) => void, open: (number: number) => void, small?: boolean}} to
 */
export function band(place, first, { draw, trouble, open, small = false }) {
  let one = first;
  let { timeline, service } = one;
  let track = tracked(timeline.told, timeline.length);
  let all = false; // every mover has its row
  const curves = newCurves(service.id, { fresh: draw, trouble });
  /** @type {{visible: boolean, paint: (look: Look) => void}[]} */
  let lanes = [];
  /** @type {Look|null} */
  let look = null;

  const seen = new IntersectionObserver((entries) => {
    for (const { target, isIntersecting } of entries) {
      const lane = lanes[Number(/** @type {HTMLElement} */ (target).dataset.lane)];
      if (lane) lane.visible = isIntersecting;
    }
    draw();
  }, { rootMargin: "100px" });
  const sized = new ResizeObserver(draw);

  /**
   * A row with a name and a plot.
   * @param {string} kind
   * @param {string|Node} name
   * @param {(plot: HTMLElement) => (look: Look) => void} fill
   * @param {boolean} [wheel] whether a wheel zooms over it
   */
  function lane(kind, name, fill, wheel) {
    const row = make("div", "lane " + kind);
    const title = make("div", "lane-name");
    title.append(name);
    const plot = make("div", "plot");
    plot.dataset.plot = "";
    plot.dataset.lane = String(lanes.length);
    if (wheel) plot.dataset.wheel = "";
    row.append(title, plot);
    place.append(row);
    lanes.push({ visible: true, paint: fill(plot) });
    seen.observe(plot);
    sized.observe(plot);
    return plot;
  }

  /**
   * @param {(g: CanvasRenderingContext2D, width: number, height: number, look: Look) => void} paint
   * @returns {(plot: HTMLElement) => (look: Look) => void}
   */
  const painted = (paint) => (plot) => {
    /** @type {Look|null} */
    let now = null;
    const again = board(plot, (g, width, height) => {
      if (!now) return;
      paint(g, width, height, now);
      if (now.at !== null) pointAt(g, width, height, now);
    });
    return (next) => {
      now = next;
      again();
    };
  };

  /** @type {HTMLElement} */
  let measure;
  /** @type {HTMLElement} */
  let toldPlot;

  function build() {
    seen.disconnect();
    sized.disconnect();
    lanes = [];
    place.replaceChildren();
    measure = lane("times", "", painted((g, w, h, l) => drawTimes(g, w, h, service, l.span, clock)), true);
    lane("segments", label("lane-segments"), painted((g, w, h, l) => drawSegments(g, w, h, one, l.span)), true);
    const told = track.length > 0 ? Math.max(...track) + 1 : 1;
    toldPlot = lane("told", label("what-pawl-said"), painted((g, w, h, l) => drawTold(g, w, h, timeline, track, l.span, l.open)), true);
    toldPlot.style.height = `${told * trackHeight}px`;
    lane("total", totalName(), (plot) => {
      const chart = total(plot, timeline);
      const cursor = make("i", "cursor");
      plot.append(cursor);
      return (l) => {
        const columns = curves.columns();
        chart(columns, heights(columns), l.span.from, l.span.until);
        cursor.hidden = l.at === null;
        if (l.at !== null) cursor.style.left = `${((l.at - l.span.from) / (l.span.until - l.span.from)) * 100}%`;
      };
    }, true);
    if (!small) {
      groups();
      stairs();
    }
    if (look) paint(look);
  }

  function groups() {
    const known = timeline.groups.filter((g) => g.known);
    if (known.length === 0) return;
    // Where the house's limits changed within the service, there is no one number.
    const most = timeline.plenty.length > 1 ? label("its-limit") : limit(plentyAt(timeline, 0));
    place.append(heading(label("squeeze"), label("lane-squeeze", { most })));
    timeline.groups.forEach((group, k) => {
      if (!group.known || !worth(group)) return;
      const name = make("div");
      name.append(make("b", "", group.who.name), make("small", "", group.over >= 0.005 ? label("over-plenty", { n: whole(Math.round(group.over * 100)), most }) : label("never-over-plenty", { most })));
      lane("group", name, painted((g, w, h, l) => drawSqueeze(g, w, h, curves.pieces(), timeline, k, l.span)));
    });
    const calm = known.filter((g) => !worth(g));
    if (calm.length > 0) place.append(make("p", "lane-note", label("hardly-squeezed", { who: calm.map((g) => g.who.name).join(", ") })));
  }

  function stairs() {
    const { movers, still } = timeline;
    if (movers.length === 0) {
      place.append(make("p", "lane-note", label("no-fader-moved")));
      return;
    }
    place.append(heading(label("faders-moved"), label("lane-faders")));
    for (const mover of all ? movers : movers.slice(0, openRows)) {
      const range = reach(mover);
      lane("stairs", moverName(mover), painted((g, w, h, l) => drawStairs(g, w, h, mover, range, l.span)));
    }
    const foot = make("div", "lane-note");
    const hidden = movers.length - openRows;
    if (hidden > 0) {
      const more = /** @type {HTMLButtonElement} */ (make("button", "more", all ? label("show-fewer") : counted("show-movers", hidden)));
      more.type = "button";
      more.ariaExpanded = String(all);
      more.onclick = () => {
        all = !all;
        build();
        place.querySelector(".more")?.scrollIntoView({ block: "nearest" });
        /** @type {HTMLElement|null} */ (place.querySelector(".more"))?.focus({ preventScroll: true });
      };
      foot.append(more);
    }
    if (still.length > 0) foot.append(make("p", "", counted("never-moved", still.length, { who: still.map((w) => w.name).join(", ") })));
    place.append(foot);
  }

  /** @param {Look} next */
  function paint(next) {
    look = next;
    newInk();
    for (const { visible, paint } of lanes) if (visible) paint(next);
    curves.want(next.span.from, next.span.until, measure.clientWidth);
  }

  /**
   * @param {CanvasRenderingContext2D} g
   * @param {number} width
   * @param {number} height
   * @param {Look} l
   */
  function pointAt(g, width, height, l) {
    if (l.at === null) return;
    g.fillStyle = getComputedStyle(place).color;
    g.globalAlpha = 0.7;
    g.fillRect(Math.round(((l.at - l.span.from) / (l.span.until - l.span.from)) * width), 0, 1, height);
    g.globalAlpha = 1;
  }

  build();
  return {
    paint,
    /** @param {boolean} so without the rows below the total */
    small(so) {
      if (so !== small) {
        small = so;
        build();
      }
    },
    refresh: () => curves.refresh(),
    /** @returns {DOMRect} where the plots lie on the screen */
    box: () => measure.getBoundingClientRect(),

    /** @param {One} fresh */
    take(fresh) {
      const same = JSON.stringify(fresh.timeline) === JSON.stringify(timeline);
      one = fresh;
      ({ timeline, service } = one);
      track = tracked(timeline.told, timeline.length);
      if (!same) build();
    },

    /**
     * Opens the finding at a place of the screen, if one is there.
     * @param {number} x
     * @param {number} y
     * @param {EventTarget|null} target
     * @param {Bounds} span
     */
    tap(x, y, target, span) {
      if (!(target instanceof Node) || !toldPlot.contains(target)) return false;
      const { left, top, width, height } = toldPlot.getBoundingClientRect();
      const number = toldAt(timeline, track, span, { x: x - left, y: y - top, width, height });
      if (number) open(number);
      return number > 0;
    },

    /**
     * How it stood at a moment, in words.
     * @param {number} t
     */
    reading(t) {
      const segment = timeline.segments.find((s) => s.from <= t && t < s.until);
      const at = valueAt(curves.pieces(), t);
      const words = at
        ? label(Math.abs(at.rest) >= 0.05 ? "reading-all" : "reading", { rise: signed(at.rise), faders: signed(at.faders), stage: signed(at.stage), rest: signed(at.rest) })
        : label("nothing-measured");
      return `${clock(service, t)}${segment ? ", " + segmentName(segment) : ""} · ${words}`;
    },
  };
}

function totalName() {
  const name = make("div");
  name.append(make("b", "", label("the-total")), make("span", "key-faders", label("key-faders")), make("span", "key-stage", label("key-stage")), make("span", "key-rest", label("key-rest")));
  return name;
}

/** @param {import("../frames.js").Staircase} mover */
function moverName(mover) {
  const name = make("div");
  name.append(make("b", "", called(mover.who)), make("small", "", counted("count-moves", mover.steps.length)));
  return name;
}

/**
 * @param {string} text
 * @param {string} more
 */
function heading(text, more) {
  const h = make("h3", "lane-heading", text + " ");
  h.append(make("small", "", more));
  return h;
}
