// What hands do to the timeline: drag, pinch, wheel, keys, and a tap at a moment.

const slack = 6; // px that a tap may wander

/**
 * @param {HTMLElement} place what is touched; all that is as wide as the plots
 * @param {import("./span.js").Span} span
 * @param {{box: () => DOMRect, tap: (t: number, x: number, y: number, target: EventTarget|null) => void, hover: (t: number|null) => void}} to
 */
export function hands(place, span, { box, tap, hover }) {
  /** @type {Map<number, {x: number, y: number}>} */
  const down = new Map();
  let far = false; // it is no tap any more

  /** @param {number} x on the screen */
  const at = (x) => {
    const { left, width } = box();
    return span.from + ((x - left) / Math.max(width, 1)) * span.width;
  };
  const perPixel = () => span.width / Math.max(box().width, 1);

  place.addEventListener("pointerdown", (e) => {
    if (e.button !== 0 || !onPlot(e)) return;
    if (down.size === 0) far = false;
    down.set(e.pointerId, { x: e.clientX, y: e.clientY });
    if (down.size > 1) far = true;
  });
  place.addEventListener("pointermove", (e) => {
    const before = down.get(e.pointerId);
    if (!before) {
      if (e.pointerType === "mouse") hover(onPlot(e) ? at(e.clientX) : null);
      return;
    }
    const moved = { x: e.clientX, y: e.clientY };
    if (!far && Math.hypot(moved.x - before.x, moved.y - before.y) < slack) return;
    if (!far) place.setPointerCapture(e.pointerId);
    far = true;
    if (down.size === 1) span.pan((before.x - moved.x) * perPixel());
    else pinch(e.pointerId, before, moved);
    down.set(e.pointerId, moved);
  });
  place.addEventListener("pointerup", (e) => {
    if (down.delete(e.pointerId) && !far) tap(at(e.clientX), e.clientX, e.clientY, e.target);
  });
  place.addEventListener("pointercancel", (e) => down.delete(e.pointerId));
  place.addEventListener("pointerleave", (e) => e.pointerType === "mouse" && !down.size && hover(null));

  /**
   * @param {number} id
   * @param {{x: number}} before
   * @param {{x: number}} now
   */
  function pinch(id, before, now) {
    const other = [...down].find(([key]) => key !== id)?.[1];
    if (!other) return;
    const was = Math.max(Math.abs(before.x - other.x), 24);
    const is = Math.max(Math.abs(now.x - other.x), 24);
    const middle = at((before.x + other.x) / 2);
    span.zoom(was / is, middle);
    span.pan(((before.x - now.x) / 2) * perPixel());
  }

  place.addEventListener(
    "wheel",
    (e) => {
      if (!onPlot(e)) return;
      const lines = e.deltaMode === WheelEvent.DOM_DELTA_LINE ? 16 : 1;
      if (Math.abs(e.deltaX) > Math.abs(e.deltaY) || e.shiftKey) {
        span.pan((e.deltaX || e.deltaY) * lines * perPixel());
      } else if (e.ctrlKey || (e.target instanceof Element && e.target.closest("[data-wheel]"))) {
        span.zoom(Math.exp(Math.max(-200, Math.min(200, e.deltaY * lines)) * (e.ctrlKey ? 0.01 : 0.0025)), at(e.clientX));
      } else {
        return; // over the rows below, the page scrolls
      }
      e.preventDefault();
    },
    { passive: false },
  );

  /** @type {Record<string, () => void>} */
  const keys = {
    ArrowLeft: () => span.pan(-span.width / 10),
    ArrowRight: () => span.pan(span.width / 10),
    PageUp: () => span.pan(-span.width),
    PageDown: () => span.pan(span.width),
    Home: () => span.show(0, span.width),
    End: () => span.show(span.length - span.width, span.length),
    "+": () => span.zoom(0.5, (span.from + span.until) / 2),
    "=": () => span.zoom(0.5, (span.from + span.until) / 2),
    "-": () => span.zoom(2, (span.from + span.until) / 2),
    0: () => span.show(0, span.length),
  };
  place.addEventListener("keydown", (e) => {
    const act = keys[e.key];
    if (!act || e.target !== place || e.ctrlKey || e.metaKey || e.altKey) return;
    e.preventDefault();
    act();
  });
}

/** @param {Event} e */
const onPlot = (e) => e.target instanceof Element && e.target.closest("[data-plot]") !== null;
