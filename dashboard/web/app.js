// One state in, one render out. Everything that changes what is shown ends in
// draw, and what was heard in one breath is drawn once.

import { keepAwake } from "./awake.js";
import { spoken } from "./language.js";
import { connect } from "./live.js";
import { newMemory } from "./memory.js";
import { newPresses } from "./presses.js";
import { newRegrets } from "./regret.js";
import { renewIfChanged } from "./renew.js";
import { announce } from "./parts/announce.js";
import { arrival } from "./parts/arrival.js";
import { beam } from "./parts/beam.js";
import { card } from "./parts/card.js";
import { dim } from "./parts/dim.js";
import { elements } from "./parts/elements.js";
import { foot } from "./parts/foot.js";
import { language } from "./parts/language.js";
import { line } from "./parts/line.js";
import { notices } from "./parts/notices.js";
import { old } from "./parts/old.js";
import { pages } from "./parts/pages.js";
import { segment } from "./parts/segment.js";
import { squeeze } from "./parts/squeeze.js";
import { tide } from "./parts/tide.js";
import { title } from "./parts/title.js";
import { verdict } from "./parts/verdict.js";

const memory = newMemory();
/** @type {import("./frames.js").Now|null} */
let now = null;
let waiting = false;

const live = connect({ frame: take, contact: draw });
const regrets = newRegrets(draw);
const presses = newPresses(live.send, draw, regrets);
const awake = keepAwake(draw);
let opened = 0; // the whisper of which somebody asked more
const parts = [old, title, verdict, beam, line, arrival, card, tide, notices, squeeze, elements, language, foot, segment, dim, pages, announce].map((part) =>
  part({ press: presses.press, regrets, open }),
);

/** @param {import("./frames.js").Frame|import("./frames.js").Answer} frame */
function take(frame) {
  if (frame.frame === "answer") {
    presses.answer(frame);
    return;
  }
  if (frame.frame === "whole" && frame.page) renewIfChanged(frame.page);
  now = frame.now;
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
  setTimeout(render, document.hidden ? 1000 : 0);
}

function render() {
  waiting = false;
  const { seconds, moves } = memory;
  const view = { now, seconds, moves, opened, language: spoken(), contact: live.contact(), presses, regret: regrets.now(), awake: awake() };
  for (const part of parts) part(view);
}
