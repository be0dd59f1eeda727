// The one card, or the one whisper, or nothing: always in the same place, and
// always as tall, so that nothing else moves.

import { byId, make, say, show, whenChanged } from "../dom.js";
import { clock, said } from "../words.js";
import { suggestion } from "./try.js";
import { whisper } from "./whisper.js";

/** @typedef {import("../frames.js").Finding} Finding */

/**
 * @param {import("../types.js").Hands} hands
 * @returns {(view: import("../types.js").View) => void}
 */
export function card({ press }) {
  const place = byId("card-place");
  const whole = byId("card");
  const behind = /** @type {HTMLDetailsElement} */ (byId("card-behind"));
  const buttons = presses(press);
  const murmur = whisper();
  /** @type {import("../frames.js").Now|null} */
  let now = null;
  const fill = whenChanged(() => now?.card && write(now.card, now));
  const change = whenChanged(() => {
    behind.open = false;
    // A card that goes while in focus must not throw the keyboard to the top.
    if (whole.contains(document.activeElement)) place.focus();
  });

  return (view) => {
    now = view.now;
    const figures = now !== null && (now.link.phase === "hearing" || now.link.phase === "quiet");
    show(place, figures || now?.card != null);
    change(String(now?.card?.number ?? ""));
    fill(`${now?.card?.n} ${view.language}`);
    show(whole, now?.card != null);
    murmur(view);
    show(byId("calm"), !now?.card && !now?.line && view.contact.live && now?.link.phase === "hearing");
    buttons(view);
  };
}

/**
 * @param {Finding} c
 * @param {import("../frames.js").Now} now
 */
function write(c, now) {
  const words = said(c);
  byId("card").dataset.weight = c.weight;
  say(byId("card-kind"), kind(c) + " · " + clock(now, c.t));
  // A glance wants to know who, and what to do; the rest is for a second look.
  const [first = "", ...rest] = words.what;
  say(byId("card-text"), first);
  say(byId("card-rest"), rest.join(" "));
  byId("card-try").replaceChildren(...suggestion(c));
  const count = c.facts.length;
  show(byId("card-behind"), count > 0);
  say(byId("card-summary"), count === 1 ? "What it was made from" : `The ${count} things it was made from`);
  byId("card-evidence").replaceChildren(...c.facts.map((fact, i) => line(clock(now, fact.t), words.facts[i])));
}

/** @param {Finding} c */
export function kind(c) {
  if (c.state === "eased") return "Eased";
  return (c.weight === "now" ? "Now" : "Worth a look") + (c.state === "grew" ? ", and it grew" : "");
}

/**
 * @param {string} when
 * @param {string} what
 */
function line(when, what) {
  const li = make("li");
  li.append(make("time", "", when), make("span", "", what));
  return li;
}

/**
 * @param {import("../presses.js").Presses["press"]} press
 * @returns {(view: import("../types.js").View) => void}
 */
function presses(press) {
  let number = 0;
  const seen = /** @type {HTMLButtonElement} */ (byId("seen"));
  const notNow = /** @type {HTMLButtonElement} */ (byId("not-now"));
  const refused = byId("card-refused");
  seen.onclick = () => press("seen", number);
  notNow.onclick = () => press("not-now", number);
  return ({ now, presses }) => {
    number = now?.card?.number ?? 0;
    // What must be dealt with now cannot be put off for the segment.
    show(notNow, now?.card?.weight !== "now");
    // aria-disabled, not disabled: a disabled button would lose the focus.
    seen.setAttribute("aria-disabled", String(presses.asked("seen", number)));
    notNow.setAttribute("aria-disabled", String(presses.asked("not-now", number)));
    const why = presses.refused("seen", number) || presses.refused("not-now", number);
    say(refused, why && `That did not go through: ${why}.`);
    show(refused, why !== "");
  };
}
