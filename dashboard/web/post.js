// Passes on what was pressed, on the pages that ask again and again instead of keeping a
// connection.

import { label } from "./labels.js";
import { ask } from "./language.js";

const patience = 4000; // ms for an answer

/**
 * Why the daemon refused, "" if it did not.
 * @param {string} path
 * @param {object} press
 * @returns {Promise<string>}
 */
export async function post(path, press) {
  try {
    const headers = { "Content-Type": "application/json" };
    const answer = await fetch(ask(path), { method: "POST", body: JSON.stringify(press), headers, signal: AbortSignal.timeout(patience) });
    return (await answer.json()).refused;
  } catch {
    return label("out-of-reach");
  }
}
