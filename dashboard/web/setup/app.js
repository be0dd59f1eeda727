// The installer's page. One answer in, one render out, once a second.

import { keepAwake } from "../awake.js";
import { language } from "../parts/language.js";
import { poll } from "../poll.js";
import { renewIfChanged } from "../renew.js";
import { arriving } from "./arriving.js";
import { facts } from "./facts.js";
import { faults } from "./faults.js";
import { foot } from "./foot.js";
import { link } from "./link.js";
import { newMoves } from "./moves.js";
import { screens } from "./screens.js";
import { strips } from "./strips.js";
import { whole } from "./whole.js";

/** @type {import("../frames.js").SetupAnswer|null} */
let setup = null;
let refused = "";
let timeOfDay = "";

const moves = newMoves();
const parts = [whole, link, facts, strips, arriving, faults, screens, language, foot].map((part) => part());
const daemon = poll("/api/setup", {
  answer(/** @type {import("../frames.js").SetupAnswer} */ fresh) {
    renewIfChanged(fresh.page);
    setup = fresh;
    timeOfDay = new Date().toTimeString().slice(0, 8);
    moves.take(fresh);
    draw();
  },
  refusal(why) {
    refused = why;
    draw();
  },
  contact: draw,
});
keepAwake(() => {});

function draw() {
  const view = { setup, refused, timeOfDay, contact: daemon.contact(), moved: moves.last() };
  for (const part of parts) part(view);
}
