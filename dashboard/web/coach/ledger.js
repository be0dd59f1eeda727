// The ledger: for each input that moved since the mark how far it was raised, how much of
// that the rest swallowed, and how far it stands out more. The sums are the daemon's.

import { byId, make, rows, say, show, whenChanged } from "../dom.js";
import { label } from "../labels.js";
import { called, minute, number, plus, signed, whole } from "../words.js";

/** @typedef {import("../frames.js").LedgerRow} Row */

const wide = 100; // of a curve, in its own units
const tall = 24;
const least = 6; // dB either way that every curve has room for

/** @returns {(view: import("../types.js").View) => void} */
export function ledger() {
  const moved = byId("ledger-moved");
  const still = byId("ledger-still");
  const body = (/** @type {HTMLElement} */ of) => /** @type {HTMLElement} */ (of.querySelector("tbody"));
  const key = (/** @type {Row} */ r) => String(r.who.index);
  let far = least;
  const drawMoved = rows(body(moved), key, () => movedRow(() => far));
  const drawStill = rows(body(still), key, stillRow);
  /** @type {import("../frames.js").Ledger|null} */
  let all = null;
  const draw = whenChanged(() => {
    const up = all?.inputs.filter((r) => r.moved) ?? [];
    const rest = all?.inputs.filter((r) => !r.moved) ?? [];
    // One height for all, so that a long way looks long.
    far = Math.max(least, ...up.flatMap((r) => r.curve_db.map((db) => (db === null ? 0 : Math.abs(db - (r.curve_db[0] ?? db))))));
    drawMoved(up);
    drawStill(rest);
    show(moved, up.length > 0);
    show(still, rest.length > 0);
    const none = all === null || all.inputs.length === 0;
    show(byId("ledger-none"), up.length === 0);
    say(byId("ledger-none"), label(none ? "ledger-none" : "ledger-nobody"));
    show(byId("ledger-key"), up.length > 0);
    say(/** @type {HTMLElement} */ (still.querySelector("summary")), label("ledger-still", { n: whole(rest.length) }));
  });
  return ({ now, ledger, language }) => {
    all = ledger;
    draw(`${ledger?.t} ${ledger?.since} ${language}`);
    say(byId("ledger-since"), now && ledger && ledger.inputs.length > 0 ? label("ledger-since", { at: minute(now, ledger.since) }) : "");
  };
}

/** @param {() => number} far */
function movedRow(far) {
  const el = make("tr");
  const name = make("th");
  name.setAttribute("scope", "row");
  const curve = make("td", "curve");
  const line = picture();
  curve.append(line.el);
  const [raised, swallowed, clearer] = ["figure raised", "figure", "figure clearer"].map((one) => make("td", one));
  el.append(name, curve, raised, swallowed, clearer);
  return {
    el,
    /** @param {Row} r */
    write(r) {
      say(name, called(r.who));
      if (name.title !== called(r.who)) name.title = called(r.who);
      line.write(r.curve_db, far());
      const level = r.change === "up" || r.change === "down" || r.change === "same";
      say(raised, level ? plus(r.raised_db ?? 0) : label("change-" + r.change));
      raised.toggleAttribute("data-up", r.change === "up");
      say(swallowed, r.known ? number(r.swallowed_db ?? 0) : "–");
      say(clearer, r.known ? plus(r.clearer_db ?? 0) : "–");
      clearer.toggleAttribute("data-buried", r.known && (r.clearer_db ?? 0) <= -0.05);
    },
  };
}

function stillRow() {
  const el = make("tr");
  const name = make("th");
  name.setAttribute("scope", "row");
  const [stands, clearer] = [make("td", "figure"), make("td", "figure")];
  el.append(name, stands, clearer);
  return {
    el,
    /** @param {Row} r */
    write(r) {
      say(name, called(r.who));
      say(stands, r.gain_db === null ? label("change-shut") : signed(r.gain_db));
      say(clearer, r.known ? plus(r.clearer_db ?? 0) : "–");
    },
  };
}

const svg = "http://www.w3.org/2000/svg";

/** A small picture of where a fader was, beside figures that say it all. */
function picture() {
  const el = document.createElementNS(svg, "svg");
  el.setAttribute("viewBox", `0 0 ${wide} ${tall}`);
  el.setAttribute("preserveAspectRatio", "none");
  el.setAttribute("aria-hidden", "true");
  const [mark, line] = ["line", "path"].map((one) => document.createElementNS(svg, one));
  for (const [name, at] of Object.entries({ x1: 0, x2: wide, y1: tall / 2, y2: tall / 2 })) mark.setAttribute(name, String(at));
  el.append(mark, line);
  return {
    el,
    /**
     * @param {(number|null)[]} points the first at the mark
     * @param {number} far dB at the upper and the lower edge
     */
    write(points, far) {
      const from = points.find((db) => db !== null) ?? 0;
      let pen = "M";
      const way = points.map((db, i) => {
        if (db === null) {
          pen = "M"; // closed: there is nothing to draw
          return "";
        }
        const x = (i / Math.max(1, points.length - 1)) * wide;
        const y = tall / 2 - ((db - from) / far) * (tall / 2 - 2);
        const step = `${pen}${x.toFixed(1)} ${y.toFixed(1)}`;
        pen = "L";
        return step;
      });
      line.setAttribute("d", way.join(""));
    },
  };
}
