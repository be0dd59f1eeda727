// Asks the daemon for what the record has, and for changes to it.

import { chosen } from "../language.js";

const patience = 15000; // ms for an answer

/** Why there is no answer: in the daemon's own words, or because it is out of reach. */
export class Trouble extends Error {
  /**
   * @param {string} why
   * @param {boolean} reached whether the daemon said so itself
   */
  constructor(why, reached) {
    super(why);
    this.reached = reached;
  }
}

export const outOfReach = "Pawl is out of reach.";

/**
 * @param {string} path below that of the review
 * @param {Record<string, string|number>} [query]
 * @returns {Promise<any>}
 */
export async function get(path, query = {}) {
  const search = new URLSearchParams();
  for (const [name, value] of Object.entries(query)) search.set(name, String(value));
  const tag = chosen();
  if (tag) search.set("lang", tag);
  const response = await reach("/api/review/" + path + "?" + search, {});
  if (response.ok) return response.json();
  const plain = response.headers.get("Content-Type")?.startsWith("text/plain");
  throw new Trouble(plain ? sentence((await response.text()).trim()) : outOfReach, Boolean(plain));
}

/**
 * Asks for a change, and gives the number of what came of it.
 * @param {string} path
 * @param {Partial<import("../frames.js").Edit>} edit
 * @returns {Promise<number>}
 */
export async function post(path, edit) {
  const response = await reach("/api/review/" + path, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(edit),
  });
  /** @type {import("../frames.js").Answer} */
  const answer = await response.json();
  if (answer.refused) throw new Trouble(sentence(answer.refused), true);
  return answer.number;
}

/**
 * @param {string} address
 * @param {RequestInit} init
 */
async function reach(address, init) {
  try {
    return await fetch(address, { ...init, cache: "no-store", signal: AbortSignal.timeout(patience) });
  } catch {
    throw new Trouble(outOfReach, false);
  }
}

/**
 * The daemon's reasons are without a capital and a full stop.
 * @param {string} text
 */
const sentence = (text) => text && text[0].toUpperCase() + text.slice(1) + (text.endsWith(".") ? "" : ".");
