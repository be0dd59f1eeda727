// Numbers and times as people read them, in the language of the sentences beside them.

import { has, label } from "./labels.js";
import { spoken } from "./language.js";

const two = /** @type {const} */ ("2-digit");
const decimals = new Intl.NumberFormat(spoken(), { minimumFractionDigits: 1, maximumFractionDigits: 1, useGrouping: false });
const wholes = new Intl.NumberFormat(spoken());
const plurals = new Intl.PluralRules(spoken());
const times = new Intl.DateTimeFormat(spoken(), { hour: two, minute: two, second: two, hourCycle: "h23" });
const minutes = new Intl.DateTimeFormat(spoken(), { hour: two, minute: two, hourCycle: "h23" });

/** @type {Map<number, string>} */
const seconds = new Map(); // how a second is told: to format a date takes longer than all else of a beat
/** @type {Map<number, string>} */
const minuteTexts = new Map();

/** @param {number} db whether one decimal shows anything of it */
const shows = (db) => Math.abs(db) >= 0.05;

/**
 * A change: a plus sign for a rise, a true minus, one decimal.
 * @param {number|null} db
 */
export function signed(db) {
  if (db === null) return label("not-known");
  return plus(db) + " dB";
}

/**
 * The same without its unit.
 * @param {number} db
 */
export const plus = (db) => (db > 0 && shows(db) ? "+" : "") + number(db);

/**
 * The change as large as a clock: in whole silence where one decimal would flicker about
 * nothing.
 * @param {number} db
 */
export function change(db) {
  if (Math.abs(db) < 0.95) return "±0";
  return plus(db);
}

/** @type {string[]} */
const tenths = []; // how so many tenths are told: to format a number takes longer than to show it

/**
 * A setting or a level: a true minus, one decimal, no unit.
 * @param {number} db
 */
export function number(db) {
  const n = Math.round(Math.abs(db) * 10);
  const text = n < 2000 ? (tenths[n] ??= decimals.format(n / 10)) : decimals.format(Math.abs(db));
  return (db < 0 && shows(db) ? "−" : "") + text;
}

/** @param {number} n */
export const whole = (n) => wholes.format(n);

/**
 * A limit, as people write one: without a decimal that says nothing.
 * @param {number} db
 */
export const limit = (db) => `${Number.isInteger(db) ? whole(db) : number(db)} dB`;

/**
 * A text that says how many: in the form that the language has for so many, with the number
 * put in for {n}.
 * @param {string} id
 * @param {number} n
 * @param {Record<string, string>} [put]
 */
export function counted(id, n, put = {}) {
  const form = `${id}.${plurals.select(n)}`;
  return label(has(form) ? form : id + ".other", { n: whole(n), ...put });
}

/**
 * How long ago.
 * @param {number} seconds
 */
export function ago(seconds) {
  if (seconds < 10 && !Number.isInteger(seconds)) return label("ago-seconds", { n: number(seconds) });
  if (seconds < 90) return label("ago-seconds", { n: whole(Math.round(seconds)) });
  if (seconds < 5400) return label("ago-minutes", { n: whole(Math.round(seconds / 60)) });
  return label("ago-hours", { n: whole(Math.round(seconds / 3600)) });
}

/** @typedef {Pick<import("./frames.js").Now, "t"|"at">} When */

/**
 * The time of day at t by the daemon's clock, as it is where this screen stands.
 * @param {When} now
 * @param {number} t
 */
export const clock = (now, t) => told(seconds, times, now, t, 1);

/**
 * The same without its seconds.
 * @param {When} now
 * @param {number} t
 */
export const minute = (now, t) => told(minuteTexts, minutes, now, t, 60);

/**
 * @param {Map<number, string>} known
 * @param {Intl.DateTimeFormat} format
 * @param {When} now
 * @param {number} t
 * @param {number} step in seconds, within which the format tells no difference
 */
function told(known, format, now, t, step) {
  const at = now.at - (now.t - t);
  const key = Math.floor(at / step);
  let text = known.get(key);
  if (text === undefined) {
    if (known.size >= 256) known.clear();
    known.set(key, (text = format.format(new Date(at * 1000))));
  }
  return text;
}

/** @type {import("./frames.js").Words} */
const silent = { what: [], try: "", then: "", facts: [], held_back: "" };

/**
 * What a finding says.
 * @param {import("./frames.js").Finding} finding
 */
export const said = (finding) => finding.words ?? silent;

/**
 * What the operator calls a mover.
 * @param {import("./frames.js").Who} who
 */
export const called = (who) => who.label || who.name;
