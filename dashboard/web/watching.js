// One state in, one render out, for every page that watches. Everything that changes what
// is shown ends in draw, and what was heard in one breath is drawn once.

import { keepAwake } from "./awake.js";
import { spoken } from "./language.js";
import { connect } from "./live.js";
import { newMemory } from "./memory.js";
import { newPresses } from "./presses.js";
import { newRegrets } from "./regret.js";
import { renewIfChanged } from "./renew.js";

/**
 * @param {((hands: import("./types.js").Hands) => (view: import("./types.js").View) => void)[]} makers the parts of the page
 * @param {string} [as] what page it is, if not the operator's
 * @param {WebSocket} [early] its first connection, if that was begun already
 */
export function watching(makers, as, early) {
  const memory = newMemory();
  /** @type {import("./frames.js").Now|null} */
  let now = null;
  /** @type {import("./frames.js").Ledger|null} */
  let ledger = null;
  /** @type {import("./frames.js").Book|null} */
  let book = null;
  let waiting = false;

  const live = connect({ frame: take, contact: draw }, as, early);
  const regrets = newRegrets(draw);
  const presses = newPresses(live.send, draw, regrets);
  const awake = keepAwake(draw);
  let opened = 0; // the whisper of which somebody asked more
  const parts = makers.map((part) => part({ press: presses.press, regrets, open }));

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
    memory.take(frame);
    draw();
  }

  /** @param {number} number */
  function open(number) {
    opened = number;
    draw();
  }

  function draw() {
    if (waiting) return;
    waiting = true;
    // No frame of the screen is asked for: most beats change nothing that is seen, and then
    // none is made. A hidden page would get none, and its title must still be right.
    if (document.hidden) setTimeout(render, 1000);
    else queueMicrotask(render); // a task of its own would cost a tenth of all
  }

  function render() {
    waiting = false;
    const { seconds, moves } = memory;
    const view = { now, seconds, moves, ledger, book, opened, language: spoken(), contact: live.contact(), presses, regret: regrets.now(), awake: awake() };
    for (const part of parts) part(view);
  }
}
