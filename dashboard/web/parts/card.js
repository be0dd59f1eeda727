// The one card, or the one whisper, or nothing: always in the same place, and
// always as tall, so that nothing else moves.

import { byId, make, say, show, whenChanged } from "../dom.js";
import { clock, inTwo } from "../words.js";
import { whisper } from "./whisper.js";

/**
 * @param {{press: import("../presses.js").Presses["press"]}} hands
 * @returns {(view: import("../types.js").View) => void}
 */
export function card({ press }) {
  const place = byId("card-place");
  const whole = byId("card");
  const behind = /** @type {HTMLDetailsElement} */ (byId("card-behind"));
  const buttons = presses(press);
  const murmur = whisper();
  /** @type {import("../types.js").State|null} */
  let state = null;
  const fill = whenChanged(() => state?.card && write(state.card, state));
  const change = whenChanged(() => {
    behind.open = false;
    // A card that goes while in focus must not throw the keyboard to the top.
    if (whole.contains(document.activeElement)) place.focus();
  });

  return (view) => {
    state = view.state;
    const figures = state !== null && (state.link.phase === "hearing" || state.link.phase === "quiet");
    show(place, figures || state?.card != null);
    change(String(state?.card?.number ?? ""));
    fill(JSON.stringify(state?.card ?? null));
    show(whole, state?.card != null);
    murmur(view);
    show(byId("calm"), !state?.card && !state?.line && view.contact.live && state?.link.phase === "hearing");
    buttons(view);
  };
}

/**
 * @param {import("../types.js").Card} c
 * @param {import("../types.js").State} state
 */
function write(c, state) {
  byId("card").dataset.weight = c.weight;
  say(byId("card-kind"), kind(c) + " · " + clock(state, c.t));
  // A glance wants to know who, and what to do; the rest is for a second look.
  const [first, rest] = inTwo(c.text);
  say(byId("card-text"), first);
  say(byId("card-rest"), rest);
  byId("card-try").replaceChildren(...(c.try ? tryWords(c.try) : []));
  const count = c.evidence.length;
  show(byId("card-behind"), count > 0);
  say(byId("card-summary"), count === 1 ? "What it was made from" : `The ${count} things it was made from`);
  byId("card-evidence").replaceChildren(...c.evidence.map((e) => line(e, state)));
}

/**
 * What to do stands out of what it leads to: "bring the band DCA down 4.0 dB: the
 * balance stays".
 * @param {string} text
 */
export function tryWords(text) {
  const [, act, then] = /^([^:]+?)(:\s.*)?$/s.exec(text) ?? [null, text, ""];
  return [make("b", "", "Try: "), make("span", "act", act), then ?? ""];
}

/** @param {import("../types.js").Card} c */
export function kind(c) {
  if (c.phase === "eased") return "Eased";
  return (c.weight === "now" ? "Now" : "Worth a look") + (c.phase === "grew" ? ", and it grew" : "");
}

/**
 * @param {import("../types.js").Evidence} e
 * @param {import("../types.js").State} state
 */
function line(e, state) {
  const li = make("li");
  li.append(make("time", "", clock(state, e.t)), make("span", "", e.what));
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
  return ({ state, presses }) => {
    number = state?.card?.number ?? 0;
    // What must be dealt with now cannot be put off for the segment.
    show(notNow, state?.card?.weight !== "now");
    // aria-disabled, not disabled: a disabled button would lose the focus.
    seen.setAttribute("aria-disabled", String(presses.asked("seen", number)));
    notNow.setAttribute("aria-disabled", String(presses.asked("not-now", number)));
    const why = presses.refused("seen", number) || presses.refused("not-now", number);
    say(refused, why && `That did not go through: ${why}.`);
    show(refused, why !== "");
  };
}
