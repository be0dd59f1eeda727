// Asks the daemon for what the record has, and for changes to it.

import { label } from "../labels.js";
import { ask, spoken } from "../language.js";

const patience = 15000; // ms for an answer
const longPatience = 180000; // ms for one that is worked out while we wait

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

export const outOfReach = () => sentence(label("link-lost"));

/**
 * @param {string} path below that of the review
 * @param {Record<string, string|number>} [query]
 * @returns {Promise<any>}
 */
export async function get(path, query = {}) {
  const search = new URLSearchParams();
  for (const [name, value] of Object.entries(query)) search.set(name, String(value));
  search.set("lang", spoken());
  const response = await reach("/api/review/" + path + "?" + search, {});
  if (response.ok) return response.json();
  const plain = response.headers.get("Content-Type")?.startsWith("text/plain");
  throw new Trouble(plain ? sentence((await response.text()).trim()) : outOfReach(), Boolean(plain));
}

/**
 * Asks for a change, and gives the number of what came of it.
 * @param {string} path
 * @param {Partial<import("../frames.js").Edit>} edit
 * @returns {Promise<number>}
 */
export async function post(path, edit) {
  const response = await reach(ask("/api/review/" + path), {
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
 * Sends a text that a person typed, as YAML, and gives the answer to it, which may take its
 * time.
 * @param {string} path
 * @param {string} text
 * @returns {Promise<any>}
 */
export async function send(path, text) {
  const response = await reach(
    ask("/api/review/" + path),
    { method: "POST", headers: { "Content-Type": "application/yaml" }, body: text },
    longPatience,
  );
  if (response.ok) return response.json();
  throw new Trouble((await response.text()).trim(), true);
}

/**
 * @param {string} address
 * @param {RequestInit} init
 * @param {number} [within] ms
 */
async function reach(address, init, within = patience) {
  try {
    return await fetch(address, { ...init, cache: "no-store", signal: AbortSignal.timeout(within) });
  } catch {
    throw new Trouble(outOfReach(), false);
  }
}

/**
 * The daemon's reasons are without a capital and a full stop.
 * @param {string} text
 */
const sentence = (text) => text && text[0].toUpperCase() + text.slice(1) + (text.endsWith(".") ? "" : ".");
