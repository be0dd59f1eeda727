// Dates, lengths and names as people read them on the review pages.

import { count, signed } from "../words.js";

const two = /** @type {const} */ ("2-digit");
const dates = new Intl.DateTimeFormat("en-GB", { weekday: "short", day: "numeric", month: "long", year: "numeric" });
const shortDates = new Intl.DateTimeFormat("en-GB", { day: "numeric", month: "short" });
const minutes = new Intl.DateTimeFormat("en-GB", { hour: two, minute: two, hourCycle: "h23" });
const seconds = new Intl.DateTimeFormat("en-GB", { hour: two, minute: two, second: two, hourCycle: "h23" });

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
  if (s < 90) return `${Math.round(s)} s`;
  const whole = Math.round(s / 60);
  if (whole < 60) return `${whole} min`;
  return `${Math.floor(whole / 60)} h` + (whole % 60 ? ` ${whole % 60} min` : "");
}

/** @type {Record<import("../frames.js").SegmentSpan["kind"], string>} */
const kinds = { "": "not known", music: "music", speech: "speech", quiet: "quiet" };

/** @param {import("../frames.js").SegmentSpan} segment */
export const segmentName = (segment) => segment.name || kinds[segment.kind];

/** @type {Record<import("../frames.js").Step["kind"], string>} */
const moves = {
  raise: "up", lower: "down", return: "back up", "bring-in": "brought in", "take-out": "taken out",
  scene: "by a scene", reroute: "sent elsewhere", "gain-set": "set against its source gain",
};

/** @param {import("../frames.js").Step} step */
export const moveWords = ({ kind, from_db, to_db }) =>
  from_db === null || to_db === null ? moves[kind] : `${moves[kind]} ${signed(to_db - from_db)}`;

/** @type {Record<import("../frames.js").Finding["weight"], string>} */
export const weights = { whisper: "a line", nudge: "worth a look", now: "needed you now" };

/** @type {Record<import("../frames.js").Turn["what"], string>} */
export const turns = {
  open: "Opened", grew: "Grew", shown: "Came to the screen", held: "Left the screen", eased: "Back down", seen: "Seen, pressed",
  "not-now": "Not now, pressed",
};

/**
 * A service in a line: when, how long, by whom.
 * @param {Service} service
 */
export function lineOf(service) {
  const until = service.goes_on ? "goes on" : hour(service, lengthOf(service));
  const parts = [`${service.name ? date(service) + ", " : ""}${hour(service)}–${until}`, length(lengthOf(service))];
  if (service.mixing) parts.push(`mixing: ${service.mixing}`);
  parts.push(count(service.shown, "card or line", "cards and lines") + " shown", count(service.moves, "move"));
  return parts.join(" · ");
}
