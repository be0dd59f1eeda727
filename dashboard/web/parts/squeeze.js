// How hard each group's compressor holds on, against what is plenty by the house's limits. None at
// all is as good, and nothing here must read as a goal to reach.

import { byId, make, put, rows, say, show, whenChanged } from "../dom.js";
import { label } from "../labels.js";
import { spoken } from "../language.js";
import { limit, number } from "../words.js";

/** @typedef {import("../frames.js").GroupPicture} Group */

const top = 10; // dB at the end of a rail; the number beside it tells of more

/** @returns {(view: import("../types.js").View) => void} */
export function squeeze() {
  const place = byId("squeeze");
  let plenty = 3; // dB
  const draw = rows(byId("rails"), (/** @type {Group} */ g) => String(g.who.index), () => rail(() => plenty));
  /** @type {Group[]} */
  let groups = [];
  const drawWhenNew = whenChanged(() => {
    say(byId("squeeze-key"), label("squeeze-key", { most: limit(plenty) }));
    draw(groups);
  });
  return ({ now }) => {
    const figures = now?.link.phase === "hearing" || now?.link.phase === "quiet";
    // A group of which nothing was ever heard has nothing to show.
    groups = ((figures && now?.groups) || []).filter((g) => g.known);
    // These are of twenty seconds and move by tenths, each when it will: once in a second is
    // plenty for those, and all together; a whole decibel is there at once.
    plenty = now?.plenty_db ?? plenty;
    drawWhenNew([now && Math.floor(now.t), spoken(), plenty, ...groups.map((g) => `${g.who.name} ${g.active} ${Math.round(g.median_db ?? -99)}`)].join());
    show(place, groups.length > 0);
  };
}

/** @param {() => number} plenty dB */
function rail(plenty) {
  const el = make("li", "rail");
  const name = make("span", "name");
  const bed = make("span", "bed");
  bed.setAttribute("aria-hidden", "true");
  const [spread, holds, notch] = ["spread", "holds", "notch"].map((one) => make("i", one));
  bed.append(spread, holds, notch);
  const amount = make("b", "amount");
  const feel = make("span", "feel");
  el.append(name, bed, amount, feel);
  /** @type {Group} */
  let g;
  const draw = whenChanged(() => {
    const now = g.active ? g.median_db : null;
    say(name, g.who.name);
    name.title = g.who.name;
    say(amount, now === null ? "–" : number(now) + " dB");
    say(feel, words(now, plenty()));
    el.toggleAttribute("data-resting", !g.active);
    el.toggleAttribute("data-over", now !== null && shown(now) > plenty());
    put(notch, "left", percent(plenty()));
    put(holds, "width", now === null ? "0%" : percent(now));
    const wide = g.active && g.low_db !== null && g.high_db !== null;
    put(spread, "left", wide ? percent(g.low_db ?? 0) : "0%");
    put(spread, "width", wide ? `calc(${percent(g.high_db ?? 0)} - ${percent(g.low_db ?? 0)})` : "0%");
  });
  return {
    el,
    /** @param {Group} group */
    write(group) {
      g = group;
      // What the figure beside it does not show, the rail does not either.
      draw(`${g.who.name} ${g.active} ${tenths(g.median_db)} ${tenths(g.low_db)} ${tenths(g.high_db)} ${plenty()} ${spoken()}`);
    },
  };
}

/** @param {number|null} db */
const tenths = (db) => (db === null ? "" : Math.round(db * 10));

/** @param {number} db as the number beside it shows it */
const shown = (db) => Math.round(db * 10) / 10;

/** Only what is out of the way has words, so that the rest is a quiet column.
 * @param {number|null} db
 * @param {number} plenty dB */
function words(db, plenty) {
  if (db === null) return label("squeeze-resting");
  return shown(db) > plenty ? label("squeeze-over", { most: limit(plenty) }) : "";
}

/** @param {number} db */
const percent = (db) => `${((Math.min(Math.max(db, 0), top) / top) * 100).toFixed(1)}%`;
