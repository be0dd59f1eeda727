// What a word of the trade means, where somebody taps it: in a note that lies over the page
// and moves nothing. The words are those that the catalogue lists in its language.

import { make } from "./dom.js";
import { glosses } from "./labels.js";
import { spoken } from "./language.js";

/** The longest first: "make-up gain" before "gain". */
const terms = glosses()
  .flatMap(({ words, means }) => words.map((word) => ({ word: word.toLocaleLowerCase(spoken()), means })))
  .sort((a, b) => b.word.length - a.word.length);
const segmenter = "Segmenter" in Intl ? new Intl.Segmenter(spoken(), { granularity: "word" }) : null;

/**
 * Says a text, with each word that has a gloss to be tapped.
 * @param {HTMLElement} el
 * @param {string} text
 */
export function tell(el, text) {
  if (el.textContent === text) return;
  el.replaceChildren(...marked(text));
  if (of && !of.isConnected) close();
}

/**
 * The same as pieces to put somewhere. Each word is marked where it first stands.
 * @param {string} text
 * @returns {(string|HTMLElement)[]}
 */
export function marked(text) {
  if (!segmenter) return [text];
  const lower = text.toLocaleLowerCase(spoken());
  const words = [...segmenter.segment(lower)];
  const bounds = new Set([lower.length, ...words.map((w) => w.index)]);
  const met = new Set();
  /** @type {(string|HTMLElement)[]} */
  const pieces = [];
  let from = 0;
  for (const { index, isWordLike } of words) {
    if (!isWordLike || index < from) continue;
    const term = terms.find(({ word }) => lower.startsWith(word, index) && bounds.has(index + word.length));
    if (!term || met.has(term.means)) continue;
    met.add(term.means);
    pieces.push(text.slice(from, index), button(text.slice(index, index + term.word.length), term.means));
    from = index + term.word.length;
  }
  return [...pieces, text.slice(from)].filter((piece) => piece !== "");
}

/**
 * @param {string} word
 * @param {string} means
 */
function button(word, means) {
  const el = /** @type {HTMLButtonElement} */ (make("button", "term", word));
  el.type = "button";
  el.setAttribute("aria-expanded", "false");
  el.onclick = () => (of === el ? close() : open(el, means));
  return el;
}

// It is there from the start, so that a screen reader hears what comes into it.
const note = make("div");
note.id = "gloss";
note.setAttribute("role", "status");
document.body.append(note);

/** @type {HTMLElement|null} whose note is open */
let of = null;

/**
 * @param {HTMLElement} el
 * @param {string} means
 */
function open(el, means) {
  close();
  of = el;
  el.setAttribute("aria-expanded", "true");
  note.textContent = means;
  const word = el.getBoundingClientRect();
  const { width, height } = note.getBoundingClientRect();
  const below = word.bottom + 6;
  note.style.left = `${Math.max(8, Math.min(word.left, innerWidth - width - 8))}px`;
  note.style.top = `${below + height < innerHeight - 8 ? below : Math.max(8, word.top - height - 6)}px`;
}

function close() {
  of?.setAttribute("aria-expanded", "false");
  of = null;
  note.textContent = "";
}

addEventListener("keydown", (e) => {
  if (e.key !== "Escape" || !of) return;
  e.stopImmediatePropagation(); // it closes this and nothing else
  close();
}, true);
addEventListener("pointerdown", (e) => of && e.target !== of && e.target !== note && close());
addEventListener("scroll", () => of && close(), true);
addEventListener("resize", () => of && close());
