// Dates, lengths and names as people read them on the review pages.

import { label } from "../labels.js";
import { spoken } from "../language.js";
import { counted, whole } from "../words.js";

const two = /** @type {const} */ ("2-digit");
const language = spoken() === "en" ? "en-GB" : spoken(); // the day before the month
const dates = new Intl.DateTimeFormat(language, { weekday: "short", day: "numeric", month: "long", year: "numeric" });
const shortDates = new Intl.DateTimeFormat(language, { day: "numeric", month: "short" });
const minutes = new Intl.DateTimeFormat(language, { hour: two, minute: two, hourCycle: "h23" });
const seconds = new Intl.DateTimeFormat(language, { hour: two, minute: two, second: two, hourCycle: "h23" });

/** @typedef {import("../frames.js").Service} Service */

/** @param {Service} service */
export const date = (service) => dates.format(new Date(service.began));

/** @param {Service} service */
export const shortDate = (service) => shortDates.format(new Date(service.began));

/**
 * The time of day of a moment of a service.
 * @param {Service} service
 * @param {number} [t] seconds since it began
 */
export const hour = (service, t = 0) => minutes.format(Date.parse(service.began) + t * 1000);

/**
 * The same with its seconds.
 * @param {Service} service
 * @param {number} t
 */
export const clock = (service, t) => seconds.format(Date.parse(service.began) + t * 1000);

/**
 * What a service is called: its name, or else when it was.
 * @param {Service} service
 */
export const title = (service) => service.name || `${date(service)}, ${hour(service)}`;

/** @param {Service} service */
export const lengthOf = (service) => (Date.parse(service.ended) - Date.parse(service.began)) / 1000;

/**
 * A length of time, as fine as it matters.
 * @param {number} s seconds
 */
export function length(s) {
  if (s < 90) return label("length-seconds", { n: whole(Math.round(s)) });
  const all = Math.round(s / 60);
  if (all < 60) return label("minutes", { n: whole(all) });
  return label(all % 60 ? "length-both" : "length-hours", { hours: whole(Math.floor(all / 60)), minutes: whole(all % 60) });
}

/** @param {import("../frames.js").SegmentSpan} segment */
export const segmentName = (segment) => segment.name || label("part-" + (segment.kind || "unknown"));

/** @param {import("../frames.js").Finding} finding */
export const weightWords = (finding) => label("weight-" + finding.weight);

/** @param {import("../frames.js").Turn} turn */
export const turnWords = (turn) => label("turn-" + turn.what);

/**
 * When a service was, how long, and by whom.
 * @param {Service} service
 */
export function whenOf(service) {
  const until = service.goes_on ? label("goes-on") : hour(service, lengthOf(service));
  const parts = [`${service.name ? date(service) + ", " : ""}${hour(service)}–${until}`, length(lengthOf(service))];
  if (service.mixing) parts.push(label("mixing", { who: service.mixing }));
  return parts;
}

/**
 * A service in a line: when, how long, by whom, and what was in it.
 * @param {Service} service
 */
export const lineOf = (service) => [...whenOf(service), counted("cards-shown", service.shown), counted("count-moves", service.moves)].join(" · ");
