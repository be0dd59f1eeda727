// One state in, one render out, for every page that watches. Everything that changes what
// is shown ends in draw, and draw runs at most once a frame of the screen.

import { keepAwake } from "./awake.js";
import { relabel } from "./labels.js";
import { remember } from "./language.js";
import { connect } from "./live.js";
import { newMemory } from "./memory.js";
import { newPresses } from "./presses.js";
import { renewIfChanged } from "./renew.js";
import { speak } from "./words.js";

/**
 * @param {((hands: import("./types.js").Hands) => (view: import("./types.js").View) => void)[]} makers the parts of the page
 * @param {string} [as] what page it is, if not the operator's
 */
export function watching(makers, as) {
  const memory = newMemory();
  /** @type {import("./frames.js").Now|null} */
  let now = null;
  /** @type {import("./frames.js").Ledger|null} */
  let ledger = null;
  /** @type {import("./frames.js").Book|null} */
  let book = null;
  let spoken = "en";
  /** @type {import("./frames.js").Language[]} */
  let languages = [];
  let waiting = false;

  const live = connect({ frame: take, contact: draw }, as);
  const presses = newPresses(live.send, draw);
  const awake = keepAwake(draw);
  let opened = 0; // the whisper of which somebody asked more
  const parts = makers.map((part) => part({ press: presses.press, choose, open }));

  /** @param {import("./frames.js").Frame|import("./frames.js").Answer} frame */
  function take(frame) {
    if (frame.frame === "answer") {
      presses.answer(frame);
      return;
    }
    if (frame.frame === "whole") {
      if (frame.page) renewIfChanged(frame.page);
      ledger = book = null; // of what was there before
    }
    now = frame.now;
    ledger = frame.ledger ?? ledger;
    book = frame.book ?? book;
    spoken = frame.language;
    languages = frame.languages ?? languages;
    speak(spoken);
    if (frame.frame === "whole" && frame.labels) relabel(frame.labels);
    memory.take(frame);
    draw();
  }

  /** @param {string} tag */
  function choose(tag) {
    remember(tag);
    live.again();
  }

  /** @param {number} number */
  function open(number) {
    opened = number;
    draw();
  }

  function draw() {
    if (waiting) return;
    waiting = true;
    // A hidden page gets no screen frames, and its title must still be right.
    if (document.hidden) setTimeout(render, 1000);
    else requestAnimationFrame(render);
  }

  function render() {
    waiting = false;
    const { seconds, moves } = memory;
    const view = { now, seconds, moves, ledger, book, opened, language: spoken, languages, contact: live.contact(), presses, awake: awake() };
    for (const part of parts) part(view);
  }
}
