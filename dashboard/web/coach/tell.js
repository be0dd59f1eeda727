// A line to the operator's screen, and what became of it.

import { byId, make, rows, say } from "../dom.js";
import { label } from "../labels.js";
import { clock, whole } from "../words.js";
import { able, enable, refusal } from "./foot.js";

/** @typedef {import("../frames.js").CoachLine} CoachLine */

const most = 80; // characters, as the daemon counts them
const shown = 4; // of the lines that were sent

/**
 * @param {import("../types.js").Hands} hands
 * @returns {(view: import("../types.js").View) => void}
 */
export function tell({ press }) {
  const text = /** @type {HTMLInputElement} */ (byId("tell-text"));
  const send = /** @type {HTMLButtonElement} */ (byId("tell-send"));
  /** @type {import("../types.js").View|null} */
  let latest = null;
  const typed = () => text.value.trim();
  const long = () => [...typed()].length;
  byId("tell-form").onsubmit = (e) => {
    e.preventDefault();
    if (typed() === "" || long() > most || send.disabled) return;
    press("tell", 0, { text: typed() });
    text.value = "";
    count();
  };
  function count() {
    say(byId("tell-count"), label("tell-count", { n: whole(long()), most: whole(most) }));
    byId("tell-count").toggleAttribute("data-over", long() > most);
    if (latest) enable([send], able(latest) && typed() !== "" && long() <= most);
  }
  text.oninput = count;
  const draw = rows(byId("tell-lines"), (/** @type {CoachLine} */ l) => String(l.number), () => row(press, () => latest));
  return (view) => {
    latest = view;
    enable([text], able(view));
    count();
    draw((view.book?.lines ?? []).slice(0, shown));
    const newest = view.book?.lines[0]?.number ?? 0;
    refusal(byId("tell-refused"), [view.presses.refused("tell", 0), view.presses.refused("tell-back", newest), view.presses.refused("hold", 0)], (why) => label("refused", { why }));
  };
}

/**
 * @param {import("../presses.js").Presses["press"]} press
 * @param {() => import("../types.js").View|null} latest
 */
function row(press, latest) {
  const el = make("li");
  const [words, fate] = [make("span", "words"), make("span", "fate")];
  const back = /** @type {HTMLButtonElement} */ (make("button", "quiet"));
  back.type = "button";
  let number = 0;
  back.onclick = () => press("tell-back", number);
  el.append(words, fate, back);
  return {
    el,
    /** @param {CoachLine} l */
    write(l) {
      const now = latest()?.now;
      number = l.number;
      // The book says what became of it; while it stands there the frames are sooner.
      const on = now?.told?.number === l.number;
      el.dataset.state = l.state;
      say(words, l.text);
      say(fate, on && now ? label("told-on", { n: whole(Math.max(0, Math.ceil(l.until - now.t))) }) : now ? label("told-" + l.state, { at: clock(now, l.until), n: "0" }) : "");
      say(back, label("tell-back"));
      back.hidden = !on;
    },
  };
}
