// Colours for the canvas, from the same tokens as the rest of the page, and
// hatched where two tints meet so that nobody needs to tell them by colour.

/**
 * A look at the page's styles costs a pass over them where anything was written before, so
 * each colour is looked for once, and again when the page steps back or comes forward.
 * @returns {(token: string, weave?: "solid"|"slanted"|"upright") => string|CanvasPattern}
 */
export function paints() {
  /** @type {Map<string, string|CanvasPattern>} */
  const made = new Map();
  /** @type {Map<string, string>} */
  const colours = new Map();
  let looks = "";
  return (token, weave) => {
    const { className } = document.documentElement;
    if (className !== looks) colours.clear();
    looks = className;
    let colour = colours.get(token);
    if (colour === undefined) {
      colour = getComputedStyle(document.documentElement).getPropertyValue(token).trim();
      colours.set(token, colour);
    }
    if (!weave || weave === "solid") return colour;
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
 * @param {"slanted"|"upright"} weave
 */
function pattern(colour, weave) {
  const side = Math.round(8 * devicePixelRatio);
  const tile = document.createElement("canvas");
  tile.width = tile.height = side;
  const g = /** @type {CanvasRenderingContext2D} */ (tile.getContext("2d"));
  g.fillStyle = colour;
  g.globalAlpha = 0.3;
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

let face = "";

/** The page's own type, for the canvas. */
export function typeface() {
  face ||= getComputedStyle(document.body).fontFamily;
  return face;
}
