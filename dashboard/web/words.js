// Numbers and times as people read them.

/**
 * A change: a plus sign for a rise, a true minus, one decimal.
 * @param {number|null} db
 */
export function signed(db) {
  if (db === null) return "not known";
  const size = Math.abs(db).toFixed(1);
  if (size === "0.0") return "0.0 dB";
  return (db < 0 ? "−" : "+") + size + " dB";
}

/**
 * An amount that counts one way only.
 * @param {number|null} db
 */
export function amount(db) {
  return db === null ? "–" : db.toFixed(1) + " dB";
}

/**
 * A setting or a level: a true minus, one decimal, no unit.
 * @param {number} db
 */
export function number(db) {
  const size = Math.abs(db).toFixed(1);
  return (db < 0 && size !== "0.0" ? "−" : "") + size;
}

/**
 * A count with what is counted.
 * @param {number} n
 * @param {string} one
 * @param {string} [many]
 */
export function count(n, one, many) {
  return `${n.toLocaleString("en")} ${n === 1 ? one : (many ?? one + "s")}`;
}

/**
 * The first sentence of a text, and the rest of it, which may be "".
 * @param {string} text
 * @returns {[string, string]}
 */
export function inTwo(text) {
  const [, first, rest] = /^(.+?[.?])\s+(\p{Lu}.*)$/su.exec(text) ?? [null, text, ""];
  return [first, rest];
}

/**
 * How long ago.
 * @param {number} seconds
 */
export function ago(seconds) {
  if (seconds < 10 && !Number.isInteger(seconds)) return seconds.toFixed(1) + " s ago";
  if (seconds < 90) return Math.round(seconds) + " s ago";
  if (seconds < 5400) return Math.round(seconds / 60) + " min ago";
  return Math.round(seconds / 3600) + " h ago";
}

/**
 * The time of day at t, given the state's own t and time of day; "" if that is
 * not known.
 * @param {import("./types.js").State} state
 * @param {number} t
 */
export function clock(state, t) {
  const parts = /^(\d+):(\d+):(\d+)$/.exec(state.timeOfDay);
  if (!parts) return "";
  const day = 86400;
  const now = Number(parts[1]) * 3600 + Number(parts[2]) * 60 + Number(parts[3]);
  const then = (((Math.round(now - (state.t - t)) % day) + day) % day);
  return [then / 3600, (then / 60) % 60, then % 60].map((n) => String(Math.floor(n)).padStart(2, "0")).join(":");
}
