// Moments of a service in a field for a time of day.

import { clock } from "./said.js";

const day = 86400;

/**
 * The moment of a time of day, of the days that the service had; the nearest there is.
 * @param {string} text "18:45:10", as a field for times has it, or "18:45"
 * @param {import("../frames.js").ReviewOne} one
 */
export function momentOf(text, { service, timeline }) {
  const [hours = 0, minutes = 0, seconds = 0] = text.split(":").map(Number);
  const began = new Date(service.began);
  const since = (began.getHours() * 60 + began.getMinutes()) * 60 + began.getSeconds() + began.getMilliseconds() / 1000;
  let t = (hours * 60 + minutes) * 60 + seconds - since;
  while (t < -1) t += day;
  return Math.min(Math.max(t, 0), timeline.length);
}

/**
 * @param {HTMLInputElement} field
 * @param {number} t
 * @param {import("../frames.js").ReviewOne} one
 */
export function writeMoment(field, t, { service }) {
  const text = clock(service, t);
  if (field.value !== text) field.value = text;
}
