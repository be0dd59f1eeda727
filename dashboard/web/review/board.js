// A canvas that fills its place and is as sharp as the screen.

/** @typedef {(g: CanvasRenderingContext2D, width: number, height: number) => void} Draw */

/**
 * @param {HTMLElement} place
 * @param {Draw} draw in CSS pixels
 * @returns {() => void} draws it anew
 */
export function board(place, draw) {
  const canvas = document.createElement("canvas");
  canvas.setAttribute("aria-hidden", "true");
  place.append(canvas);
  const g = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
  return () => {
    const width = place.clientWidth;
    const height = place.clientHeight;
    const wide = Math.round(width * devicePixelRatio);
    const high = Math.round(height * devicePixelRatio);
    if (wide === 0 || high === 0) return;
    if (canvas.width !== wide || canvas.height !== high) {
      canvas.width = wide;
      canvas.height = high;
    }
    g.setTransform(wide / width, 0, 0, high / height, 0, 0);
    g.clearRect(0, 0, width, height);
    draw(g, width, height);
  };
}
