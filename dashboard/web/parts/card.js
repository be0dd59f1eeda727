// The one card, or the whisper that somebody asked more of: what to try first and large,
// then what that does, then who it is about, and the rest for who asks.

import { byId, make, say, set, show, whenChanged } from "../dom.js";
import { marked, tell } from "../gloss.js";
import { label } from "../labels.js";
import { called, clock, said, signed } from "../words.js";

/** @typedef {import("../frames.js").Finding} Finding */

const told = ["move.raise", "move.lower", "move.return"]; // facts that a mover's sum is made of
const mostMovers = 5; // that the card names; the rest are behind it

/**
 * @param {import("../types.js").Hands} hands
 * @returns {(view: import("../types.js").View) => void}
 */
export function card(hands) {
  const place = byId("card-place");
  const behind = /** @type {HTMLDetailsElement} */ (byId("card-behind"));
  const buttons = presses(hands);
  /** @type {import("../frames.js").Now|null} */
  let now = null;
  /** @type {Finding|null} */
  let shown = null;
  const fill = whenChanged(() => shown && now && write(shown, now));
  const change = whenChanged(() => {
    behind.open = false;
    // A card that goes while in focus must not throw the keyboard to the top.
    if (place.contains(document.activeElement)) byId("said").focus();
  });

  return (view) => {
    now = view.now;
    shown = onScreen(view);
    change(String(shown?.number ?? ""));
    fill(`${shown?.n} ${shown?.renewed} ${view.language} ${now?.told?.number}`);
    show(place, shown !== null);
    document.body.classList.toggle("carded", shown !== null);
    buttons(view, shown);
  };
}

/**
 * @param {import("../types.js").View} view
 * @returns {Finding|null}
 */
function onScreen({ now, opened }) {
  if (now?.card) return now.card;
  return now?.line && now.line.number === opened ? now.line : null;
}

/**
 * @param {Finding} c
 * @param {import("../frames.js").Now} now
 */
function write(c, now) {
  const words = said(c);
  byId("card").dataset.weight = c.weight;
  say(byId("card-kind"), kind(c) + " · " + clock(now, c.t));
  // The first sentence stands in the one line already, unless there is nothing to try or the
  // coach's words stand there.
  const [first = "", ...rest] = words.what;
  tell(byId("card-act"), words.try || first);
  tell(byId("card-then"), words.then);
  const movers = moved(c);
  byId("card-movers").replaceChildren(...movers.slice(0, mostMovers).map(([name, by]) => row(name, by)));
  if (movers.length > mostMovers) byId("card-movers").append(make("li", "rest", label("more-movers", { n: String(movers.length - mostMovers) })));
  show(byId("card-movers"), movers.length > 0);
  tell(byId("card-rest"), (movers.length > 0 || now.told ? words.what : rest).join(" "));
  show(byId("card-behind"), c.facts.length + rest.length > 0 || now.told !== null);
  byId("card-evidence").replaceChildren(...c.facts.map((fact, i) => line(clock(now, fact.t), words.facts[i])));
}

/**
 * How much everybody went up by in all, of whom the card tells moves; the most first.
 * @param {Finding} c
 * @returns {[string, number][]}
 */
function moved(c) {
  /** @type {Map<string, number>} */
  const by = new Map();
  for (const { id, figures, who } of c.facts) {
    const mover = who?.who?.[0];
    if (!told.includes(id) || !mover || figures?.by_db == null) continue;
    by.set(called(mover), (by.get(called(mover)) ?? 0) + (id === "move.lower" ? -Math.abs(figures.by_db) : figures.by_db));
  }
  return [...by].sort((a, b) => b[1] - a[1]);
}

/**
 * @param {string} name
 * @param {number} by
 */
function row(name, by) {
  const li = make("li");
  li.append(make("span", "", name), make("b", "", signed(by)));
  return li;
}

/** @param {Finding} c */
export function kind(c) {
  if (c.state === "eased") return label("kind-eased");
  if (c.weight === "now") return label("kind-now");
  if (c.weight === "whisper") return label("kind-whisper");
  return label(c.state === "grew" ? "kind-grew" : "kind-look");
}

/**
 * @param {string} when
 * @param {string} what
 */
function line(when, what) {
  const li = make("li");
  const said = make("span");
  said.append(...marked(what));
  li.append(make("time", "", when), said);
  return li;
}

/**
 * @param {import("../types.js").Hands} hands
 * @returns {(view: import("../types.js").View, shown: Finding|null) => void}
 */
function presses({ press, open }) {
  let number = 0;
  const seen = /** @type {HTMLButtonElement} */ (byId("seen"));
  const notNow = /** @type {HTMLButtonElement} */ (byId("not-now"));
  const refused = byId("card-refused");
  seen.onclick = () => press("seen", number);
  notNow.onclick = () => press("not-now", number);
  byId("card-close").onclick = () => open(0);
  return ({ now, presses }, shown) => {
    number = shown?.number ?? 0;
    const whisper = shown !== null && shown !== now?.card;
    const stands = shown !== null && shown.state !== "eased";
    show(seen, stands);
    // What must be dealt with now cannot be put off for the segment.
    show(notNow, stands && shown?.weight !== "now");
    show(byId("card-close"), whisper);
    // aria-disabled, not disabled: a disabled button would lose the focus.
    set(seen, "aria-disabled", String(presses.asked("seen", number)));
    set(notNow, "aria-disabled", String(presses.asked("not-now", number)));
    const why = presses.refused("seen", number) || presses.refused("not-now", number);
    say(refused, why && label("refused", { why }));
    show(refused, why !== "");
  };
}
