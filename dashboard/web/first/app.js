// The page of a first hour. One answer in, one render out, five times in a second: a fader
// on it moves as the hand does.

import { keepAwake } from "../awake.js";
import { byId, say, show } from "../dom.js";
import { label } from "../labels.js";
import { language } from "../parts/language.js";
import { bar } from "../parts/old.js";
import { poll } from "../poll.js";
import { renewIfChanged } from "../renew.js";
import { counted } from "../words.js";
import { asked } from "./asked.js";
import { live } from "./live.js";
import { naming } from "./naming.js";
import { newPresses } from "./presses.js";

const every = 250; // ms

/** @type {import("../frames.js").FirstAnswer|null} */
let first = null;
let refused = "";
let timeOfDay = "";
let stage = "";

const presses = newPresses(() => {
  draw();
  daemon.again();
});
const old = bar();
const parts = [asked(presses), live(), naming(presses)];
const choose = language();
const daemon = poll(
  "/api/first",
  {
    answer(/** @type {import("../frames.js").FirstAnswer} */ fresh) {
      renewIfChanged(fresh.page);
      first = fresh;
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
byId("begin").onclick = () => presses.press({ do: "begin" });

function draw() {
  choose();
  const contact = daemon.contact();
  if (first?.stage === "done") watchFor();
  else old({ seen: first && { from: timeOfDay, link: first.link }, contact: first || !refused ? contact : { live: true, since: 0 } });
  if (!first) {
    if (refused) say(byId("heard"), refused);
    return;
  }
  say(byId("heard"), first.messages > 0 && first.link.phase === "hearing" ? counted("first-heard", first.messages) : first.link.text);
  say(byId("send-to"), first.messages > 0 || first.send_to.length === 0 ? "" : label("first-send-to", { where: first.send_to.join(", ") }));
  show(byId("send-to"), byId("send-to").textContent !== "");
  say(byId("refused"), presses.refused() && label("first-refused", { why: presses.refused() }));
  show(byId("refused"), presses.refused() !== "");
  for (const id of ["listening", "asking", "naming", "done"]) show(byId(id), first.stage === id);
  show(byId("live"), first.stage === "listening" || first.stage === "asking");
  say(byId("done-files"), label("first-files", { map: first.map, house: first.house }));
  say(byId("link"), label(contact.live ? "first-live-now" : "not-live"));
  /** @type {HTMLButtonElement} */ (byId("begin")).disabled = first.messages === 0;
  for (const part of parts) part(first);
  if (stage !== "" && stage !== first.stage) byId(first.stage === "listening" ? "begin" : first.stage).focus();
  stage = first.stage;
}

let watching = false;

/** Once the files are written Pawl begins anew as what watches: goes there as soon as it is. */
function watchFor() {
  if (watching) return;
  watching = true;
  daemon.end();
  const look = async () => {
    try {
      const answer = await fetch("/healthz", { cache: "no-store" });
      if ((await answer.text()).trim() === "alive") location.assign("/setup"); // and no more in its first hour
    } catch {
      // not yet
    }
  };
  setInterval(look, 500);
}
