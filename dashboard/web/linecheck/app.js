// The line check's page, to be carried on stage. One answer in, one render out.

import { keepAwake } from "../awake.js";
import { poll } from "../poll.js";
import { renewIfChanged } from "../renew.js";
import { language } from "../parts/language.js";
import { announce } from "./announce.js";
import { asked } from "./asked.js";
import { foot } from "./foot.js";
import { list } from "./list.js";
import { newPresses } from "./presses.js";
import { start } from "./start.js";
import { whole } from "./whole.js";

/** @type {import("../frames.js").LineAnswer|null} */
let check = null;
let refused = "";
let timeOfDay = "";

// A player waits for the next word, so this asks more often than other pages.
const every = 400;

const presses = newPresses(() => {
  draw();
  daemon.again();
});
const parts = [whole, start, asked, list, foot, language, announce].map((part) => part(presses.press));
const daemon = poll(
  "/api/linecheck",
  {
    answer(/** @type {import("../frames.js").LineAnswer} */ fresh) {
      renewIfChanged(fresh.page);
      check = fresh;
      timeOfDay = new Date().toTimeString().slice(0, 8);
      draw();
    },
    refusal(why) {
      refused = why;
      draw();
    },
    contact: draw,
  },
  every,
);
keepAwake(() => {});

function draw() {
  const focused = document.activeElement;
  const view = { check, refused, timeOfDay, contact: daemon.contact(), presses };
  for (const part of parts) part(view);
  // What was pressed may have gone with its row, or folded away: go on from who is asked now.
  const gone = focused instanceof HTMLElement && focused !== document.body && focused.offsetParent === null && focused.tagName === "BUTTON";
  if (!gone) return;
  const next = document.querySelector("#asked:not([hidden]), #last:not([hidden])");
  if (next instanceof HTMLElement) next.focus();
}
