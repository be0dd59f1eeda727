// What moved last: the fader or mute that differs from the answer before. A map
// that takes one fader for another, or for several, shows itself here.

import { label } from "../labels.js";
import { spoken } from "../language.js";
import { number, whole } from "../words.js";

/**
 * @typedef {import("../frames.js").SetupAnswer} Setup
 * @typedef {import("../frames.js").Strip} Strip
 * @typedef {{key: string, kind: string, strip: Strip}} Keyed
 * @typedef {{keys: Set<string>, first: string, text: string, at: number, settled: boolean}} Moved
 *   `first` is the key of one that moved, `at` when by this screen's clock, `settled` that nothing moved since
 */

const least = 0.1; // dB: a hand's smallest step; less is a desk's own trembling
const list = new Intl.ListFormat(spoken());
const named = 2; // of several that moved at once; the rest are counted

export function newMoves() {
  /** @type {Map<string, Strip>} */
  let before = new Map();
  let t = Infinity;
  /** @type {Moved|null} */
  let last = null;

  return {
    last: () => last,
    /** @param {Setup} setup */
    take(setup) {
      // Another run of the daemon: what differs did not move under a hand.
      if (setup.t < t) before = new Map();
      t = setup.t;
      const moved = allStrips(setup).filter(({ key, strip }) => step(before, key, strip));
      if (moved.length > 0) {
        last = { keys: new Set(moved.map((m) => m.key)), first: moved[0].key, text: words(moved), at: Date.now(), settled: false };
      } else if (last) {
        last.settled = true;
      }
    },
  };
}

/**
 * Every strip with a key of its own.
 * @param {Setup} setup
 * @returns {Keyed[]}
 */
export function allStrips(setup) {
  /** @type {[string, Strip[]][]} */
  const kinds = [["input", setup.inputs], ["DCA", setup.dcas], ["group", setup.groups], ["main", [setup.main]]];
  return kinds.flatMap(([kind, strips]) => strips.map((strip) => ({ key: `${kind}-${strip.number}`, kind, strip })));
}

/**
 * Whether this one moved. It is measured from where it last came to rest, so that
 * a slow hand counts too; a first value is no move.
 * @param {Map<string, Strip>} before
 * @param {string} key
 * @param {Strip} now
 */
function step(before, key, now) {
  const was = before.get(key);
  // A mute comes with the fader, when the desk first tells how it stands.
  if (was?.fader && was.muted === now.muted && !farther(was.fader, now.fader)) return false;
  before.set(key, now);
  return Boolean(was?.fader);
}

/**
 * @param {Strip["fader"]} was
 * @param {Strip["fader"]} now
 */
function farther(was, now) {
  if (!was || !now) return false;
  if (was.db === null || now.db === null) return was.db !== now.db;
  return Math.abs(was.db - now.db) > least - 1e-6;
}

/** @param {Keyed[]} moved */
function words(moved) {
  if (moved.length === 1) return label("moved-last", { who: nameOf(moved[0]), how: whither(moved[0].strip) });
  const names = moved.slice(0, named).map(nameOf);
  const more = moved.length - names.length;
  const who = more > 0 ? label("and-more", { names: names.join(", "), n: whole(more) }) : list.format(names);
  return label("moved-at-once", { n: whole(moved.length), who });
}

/** @param {Keyed} one */
export function nameOf({ kind, strip }) {
  if (kind === "main") return strip.name || label("name-main");
  if (!strip.name) return label(`name-${kind.toLowerCase()}`, { of: String(strip.number) });
  return kind === "input" ? strip.name : label(`name-${kind.toLowerCase()}-of`, { of: strip.name });
}

/** @param {Strip} strip */
function whither({ fader, muted }) {
  const to = !fader ? "" : fader.db === null ? label("closed") : label("to-db", { db: number(fader.db) });
  return [to, muted ? label("muted") : ""].filter(Boolean).join(", ") || label("not-muted");
}
