// Asks the daemon for what a page shows, again and again: seldom while nobody looks,
// ever more seldom while it does not answer, and at once when someone looks again.

import { ask as address } from "./language.js";
import { needKey } from "./needkey.js";

const usually = 1000; // ms from an answer to the next question
const unseenEvery = 15000;
const longestWait = 8000;
const patience = 4000; // ms for an answer
const silence = 3000; // ms of trouble before what is shown counts as old

/**
 * @template {{t: number}} Answer
 * @param {string} path
 * @param {{answer: (s: Answer) => void, refusal: (why: string) => void, contact: () => void}} hear
 *   refusal is told what the daemon says instead of an answer, contact that what is shown grows old
 * @param {number} [every]
 */
export function poll(path, hear, every = usually) {
  let wait = every;
  /** @type {number|undefined} */
  let next;
  let asked = 0; // when the question that is under way was put; 0 while there is none
  let failed = false;
  let fresh = Date.now(); // when the last answer that was news came
  let t = NaN;
  let ended = false;

  async function ask() {
    clearTimeout(next);
    if (asked || ended) return;
    asked = Date.now();
    try {
      await hearOut(await fetch(address(path), { cache: "no-store", signal: AbortSignal.timeout(patience) }));
    } catch {
      failed = true; // out of reach, or no JSON: either way there is no answer
    }
    asked = 0;
    wait = failed ? Math.min(wait * 2, longestWait) : every;
    if (failed) hear.contact();
    next = setTimeout(ask, document.hidden ? unseenEvery : wait);
  }

  /** @param {Response} response */
  async function hearOut(response) {
    failed = !response.ok;
    if (response.status === 401) needKey();
    if (failed) {
      const plain = response.headers.get("Content-Type")?.startsWith("text/plain");
      hear.refusal(plain ? (await response.text()).trim() : "");
      return;
    }
    const answer = await response.json();
    // A daemon that hangs may still answer, with what it knew.
    if (answer.t !== t) fresh = Date.now();
    t = answer.t;
    hear.refusal("");
    hear.answer(answer);
  }

  function hurry() {
    if (document.hidden) return;
    wait = every;
    ask();
  }

  const late = () => (asked !== 0 && Date.now() - asked > silence) || (asked === 0 && !document.hidden && Date.now() - fresh > silence + every);
  const live = () => !failed && !late();

  document.addEventListener("visibilitychange", hurry);
  addEventListener("online", hurry);
  addEventListener("pageshow", hurry);
  setInterval(() => live() || hear.contact(), 1000);
  ask();

  return {
    /** Asks at once: something was pressed. */
    again: hurry,
    /** Asks no more. */
    end: () => (ended = true),
    /** @returns {import("./types.js").Contact} */
    contact: () => ({ live: live(), since: (Date.now() - fresh) / 1000 }),
  };
}
