// Passes on what was pressed, on the pages that ask again and again instead of keeping a
// connection.

import { label } from "./labels.js";
import { ask } from "./language.js";

const patience = 4000; // ms for an answer

/**
 * All that the daemon answers, or that it is out of reach.
 * @template {{refused: string}} Answer
 * @param {string} path
 * @param {object} press
 * @param {number} [ms] for the answer
 * @returns {Promise<Answer|{refused: string}>}
 */
export async function exchange(path, press, ms = patience) {
  try {
    const headers = { "Content-Type": "application/json" };
    const answer = await fetch(ask(path), { method: "POST", body: JSON.stringify(press), headers, signal: AbortSignal.timeout(ms) });
    return await answer.json();
  } catch {
    return { refused: label("out-of-reach") };
  }
}

/**
 * Why the daemon refused, "" if it did not.
 * @param {string} path
 * @param {object} press
 * @returns {Promise<string>}
 */
export const post = async (path, press) => (await exchange(path, press)).refused;
