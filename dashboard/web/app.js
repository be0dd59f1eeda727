// One state in, one render out. Everything that changes what is shown ends in
// draw, and draw runs at most once a frame of the screen.

import { keepAwake } from "./awake.js";
import { connect } from "./live.js";
import { newMemory } from "./memory.js";
import { newPresses } from "./presses.js";
import { renewIfChanged } from "./renew.js";
import { announce } from "./parts/announce.js";
import { arrival } from "./parts/arrival.js";
import { card } from "./parts/card.js";
import { elements } from "./parts/elements.js";
import { foot } from "./parts/foot.js";
import { notices } from "./parts/notices.js";
import { old } from "./parts/old.js";
import { sentence } from "./parts/sentence.js";
import { squeeze } from "./parts/squeeze.js";
import { tide } from "./parts/tide.js";
import { title } from "./parts/title.js";

const memory = newMemory();
/** @type {import("./types.js").State|null} */
let state = null;
let waiting = false;

const live = connect({ frame: take, contact: draw });
const presses = newPresses(live.send, draw);
const awake = keepAwake(draw);
const parts = [old, title, notices, sentence, arrival, tide, card, squeeze, elements, foot, announce].map((part) =>
  part({ press: presses.press }),
);

/** @param {import("./types.js").Frame|import("./types.js").Answer} frame */
function take(frame) {
  if (frame.frame === "answer") {
    presses.answer(frame);
    return;
  }
  if (frame.frame === "whole" && frame.page) renewIfChanged(frame.page);
  state = frame.state;
  memory.take(frame);
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
  const view = { state, tide: memory.tide, steps: memory.steps, contact: live.contact(), presses, awake: awake() };
  for (const part of parts) part(view);
}
