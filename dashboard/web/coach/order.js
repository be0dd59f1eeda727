// The running order of this service: what is on, what comes next, and all that can be
// changed of it. A part's tools open below it; Alt with an arrow moves it, and so does a
// mouse that drags it.

import { byId, make, rows, say, show, whenChanged } from "../dom.js";
import { label } from "../labels.js";
import { called } from "../words.js";
import { able, enable, refusal } from "./foot.js";

/**
 * @typedef {import("../frames.js").OrderPart} Part
 * @typedef {import("../frames.js").Press} Press
 */

const kinds = /** @type {const} */ (["music", "speech", "quiet", "sound-check"]);
const second = 4000; // ms in which the second press must follow the first

/**
 * @param {import("../types.js").Hands} hands
 * @returns {(view: import("../types.js").View) => void}
 */
export function order({ press }) {
  const next = /** @type {HTMLButtonElement} */ (byId("order-next"));
  const text = /** @type {HTMLInputElement} */ (byId("order-text"));
  const kind = /** @type {HTMLSelectElement} */ (byId("order-kind"));
  const add = /** @type {HTMLButtonElement} */ (byId("order-add"));
  const list = byId("order-list");
  /** @type {Part[]} */
  let parts = [];
  let open = 0; // the part whose tools are open
  let can = false;
  const reset = armed(/** @type {HTMLButtonElement} */ (byId("order-reset")), "order-reset", () => press("order-reset", 0));
  next.onclick = () => press("segment", 0, { next: true });
  byId("order-form").onsubmit = (e) => {
    e.preventDefault();
    if (text.value.trim() === "" || add.disabled) return;
    press("order-add", 0, { text: text.value.trim(), kind: /** @type {Press["kind"]} */ (kind.value) });
    text.value = "";
  };
  /** @type {Doing} */
  const doing = {
    press,
    place: (number) => parts.findIndex((p) => p.number === number) + 1,
    last: () => parts.length,
    toggle(number) {
      open = open === number ? 0 : number;
      paint();
      list.querySelector(".tools:not([hidden])")?.scrollIntoView({ block: "nearest" });
    },
    opened: () => open,
    can: () => can,
  };
  const draw = rows(list, (/** @type {Part} */ p) => String(p.number), () => row(doing));
  function paint() {
    // A part that moves must not lose the focus of whoever moves it.
    const focused = list.contains(document.activeElement) ? /** @type {HTMLElement} */ (document.activeElement) : null;
    draw(parts);
    if (focused?.isConnected && document.activeElement !== focused) focused.focus();
  }
  const drawWhenNew = whenChanged(paint);
  const fillKinds = whenChanged(() => options(kind, "music"));
  return (view) => {
    parts = view.book?.order ?? [];
    can = able(view);
    fillKinds(view.language);
    drawWhenNew(`${JSON.stringify(parts)} ${view.language} ${can}`);
    show(byId("order-none"), view.book !== null && parts.length === 0);
    const after = parts.find((p) => p.next);
    show(next, after !== undefined);
    say(next, after ? label("order-next", { what: after.name }) : "");
    enable([next, text, kind, add], can);
    reset(view.book?.edited === true, can);
    refusal(byId("order-refused"), presses.flatMap((what) => [0, open].map((n) => view.presses.refused(what, n))), (why) => label("refused", { why }));
  };
}

const presses = ["segment", "order-add", "order-remove", "order-move", "order-rename", "order-kind", "order-reset"];

/**
 * @typedef {{press: import("../presses.js").Presses["press"], place: (number: number) => number, last: () => number,
 *   toggle: (number: number) => void, opened: () => number, can: () => boolean}} Doing
 */

/** @param {Doing} doing */
function row(doing) {
  const el = make("li");
  const head = /** @type {HTMLButtonElement} */ (make("button", "part"));
  head.type = "button";
  const [name, about] = [make("span", "name"), make("small")];
  head.append(name, about);
  const tools = make("div", "tools");
  const words = /** @type {HTMLInputElement} */ (make("input"));
  const kind = /** @type {HTMLSelectElement} */ (make("select"));
  const [begin, up, down, rename, remove] = Array.from({ length: 5 }, () => /** @type {HTMLButtonElement} */ (make("button")));
  for (const button of [begin, up, down, rename, remove]) button.type = "button";
  tools.append(begin, up, down, words, rename, kind, remove);
  el.append(head, tools);
  let number = 0;
  let language = "";
  /** @type {Part|null} */
  let part = null;

  /** @param {number} by */
  const move = (by) => {
    const to = doing.place(number) + by;
    if (doing.can() && to >= 1 && to <= doing.last()) doing.press("order-move", number, { place: to });
  };
  head.onclick = () => doing.toggle(number);
  begin.onclick = () => doing.press("segment", 0, { text: part?.name });
  up.onclick = () => move(-1);
  down.onclick = () => move(1);
  rename.onclick = () => words.value.trim() && doing.press("order-rename", number, { text: words.value.trim() });
  // With braces: what answers false lets no key through.
  words.onkeydown = (e) => {
    if (e.key === "Enter") rename.click();
  };
  kind.onchange = () => doing.press("order-kind", number, { kind: /** @type {Press["kind"]} */ (kind.value) });
  const taken = armed(remove, "order-remove", () => doing.press("order-remove", number));
  el.onkeydown = (e) => {
    if (!e.altKey || (e.key !== "ArrowUp" && e.key !== "ArrowDown")) return;
    e.preventDefault();
    move(e.key === "ArrowUp" ? -1 : 1);
  };
  draggable(el, () => number, doing);

  return {
    el,
    /** @param {Part} p */
    write(p) {
      number = p.number;
      const [isOpen, can] = [doing.opened() === number, doing.can()];
      if (part?.name !== p.name && document.activeElement !== words) words.value = p.name;
      part = p;
      el.toggleAttribute("data-now", p.now);
      el.toggleAttribute("data-next", p.next);
      el.draggable = can && !isOpen; // a text in it must be selectable
      say(name, p.name);
      say(about, [p.now ? label("order-is-now") : p.next ? label("order-is-next") : "", label("segment-" + p.kind), p.primary ? called(p.primary) : ""].filter(Boolean).join(" · "));
      head.setAttribute("aria-expanded", String(isOpen));
      if (p.now) head.setAttribute("aria-current", "step");
      else head.removeAttribute("aria-current");
      show(tools, isOpen);
      for (const [button, id] of /** @type {[HTMLElement, string][]} */ ([[begin, "order-begin"], [up, "order-up"], [down, "order-down"], [rename, "order-rename"]])) say(button, label(id));
      words.setAttribute("aria-label", label("order-name"));
      kind.setAttribute("aria-label", label("order-kind"));
      if (language !== label("segment-music")) {
        language = label("segment-music");
        options(kind, p.kind);
      }
      if (document.activeElement !== kind) kind.value = p.kind;
      enable([begin], can && !p.now);
      // aria-disabled, not disabled: who moved a part to the end keeps the focus.
      up.setAttribute("aria-disabled", String(!can || doing.place(number) === 1));
      down.setAttribute("aria-disabled", String(!can || doing.place(number) === doing.last()));
      enable([rename, words, kind], can);
      taken(true, can);
    },
  };
}

/**
 * @param {HTMLElement} el
 * @param {() => number} number
 * @param {Doing} doing
 */
function draggable(el, number, doing) {
  const sort = "text/plain";
  el.ondragstart = (e) => e.dataTransfer?.setData(sort, String(number()));
  el.ondragover = (e) => {
    e.preventDefault();
    el.toggleAttribute("data-target", true);
  };
  el.ondragleave = () => el.removeAttribute("data-target");
  el.ondrop = (e) => {
    e.preventDefault();
    el.removeAttribute("data-target");
    const which = Number(e.dataTransfer?.getData(sort));
    if (doing.can() && doing.place(which) > 0 && which !== number()) doing.press("order-move", which, { place: doing.place(number()) });
  };
}

/**
 * @param {HTMLSelectElement} select
 * @param {string} chosen
 */
function options(select, chosen) {
  const had = select.value || chosen;
  select.replaceChildren(...kinds.map((kind) => {
    const one = /** @type {HTMLOptionElement} */ (make("option", "", label("segment-" + kind)));
    one.value = kind;
    return one;
  }));
  select.value = had;
}

/**
 * A button that takes two presses, because what it does is lost.
 * @param {HTMLButtonElement} button
 * @param {string} id of its label
 * @param {() => void} act
 * @returns {(shown: boolean, can: boolean) => void}
 */
function armed(button, id, act) {
  let at = 0;
  const words = () => say(button, label(at ? "press-again" : id));
  button.onclick = () => {
    if (at && Date.now() - at < second) {
      at = 0;
      act();
    } else {
      at = Date.now();
      setTimeout(() => Date.now() - at >= second && ((at = 0), words()), second);
    }
    words();
  };
  return (shown, can) => {
    show(button, shown);
    enable([button], can);
    words();
  };
}
