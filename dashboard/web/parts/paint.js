// Colours for the canvas, from the same tokens as the rest of the page, and
// hatched where two tints meet so that nobody needs to tell them by colour.

/**
 * @returns {(token: string, weave?: "solid"|"slanted"|"upright") => string|CanvasPattern}
 */
export function paints() {
  /** @type {Map<string, string|CanvasPattern>} */
  const made = new Map();
  return (token, weave) => {
    const colour = getComputedStyle(document.documentElement).getPropertyValue(token).trim();
    if (!weave) return colour;
    const key = colour + weave + devicePixelRatio;
    let paint = made.get(key);
    if (!paint) {
      paint = pattern(colour, weave);
      made.set(key, paint);
    }
    return paint;
  };
}

/**
 * @param {string} colour
 * @param {"solid"|"slanted"|"upright"} weave
 */
function pattern(colour, weave) {
  const side = Math.round(8 * devicePixelRatio);
  const tile = document.createElement("canvas");
  tile.width = tile.height = side;
  const g = /** @type {CanvasRenderingContext2D} */ (tile.getContext("2d"));
  g.fillStyle = colour;
  g.globalAlpha = weave === "solid" ? 1 : 0.3;
  g.fillRect(0, 0, side, side);
  g.strokeStyle = colour;
  g.globalAlpha = 1;
  g.lineWidth = side / 5;
  g.beginPath();
  if (weave === "slanted") for (const x of [-side, 0, side]) (g.moveTo(x, side), g.lineTo(x + side, 0));
  if (weave === "upright") (g.moveTo(side / 2, 0), g.lineTo(side / 2, side));
  g.stroke();
  return g.createPattern(tile, "repeat") ?? colour;
}
