// A note or a question with its moment, which is that of its first letter: by the time that
// a sentence is typed, what it is about is over.

import { byId, make, rows, say } from "../dom.js";
import { label } from "../labels.js";
import { clock } from "../words.js";
import { able, enable, refusal } from "./foot.js";

/** @typedef {import("../frames.js").Noted} Noted */

/**
 * @param {import("../types.js").Hands} hands
 * @returns {(view: import("../types.js").View) => void}
 */
export function notes({ press }) {
  const text = /** @type {HTMLInputElement} */ (byId("note-text"));
  const keep = /** @type {HTMLButtonElement} */ (byId("note-keep"));
  const ask = /** @type {HTMLButtonElement} */ (byId("note-ask"));
  /** @type {import("../frames.js").Now|null} */
  let now = null;
  /** @type {number|null} */
  let at = null; // of the first letter, in the service's own time
  text.oninput = () => {
    if (text.value.trim() === "") at = null;
    else at ??= now?.t ?? null;
    write();
  };
  byId("note-form").onsubmit = (e) => {
    e.preventDefault();
    send("note");
  };
  ask.onclick = () => send("question");

  /** @param {"note"|"question"} what */
  function send(what) {
    const words = text.value.trim();
    if (words === "" || keep.disabled) return;
    press(what, 0, { text: words, at: at ?? 0 });
    text.value = "";
    at = null;
    write();
  }
  function write() {
    say(byId("note-at"), at !== null && now ? label("note-at", { at: clock(now, at) }) : "");
  }
  const draw = rows(byId("note-list"), (/** @type {Noted} */ n) => `${n.t} ${n.question} ${n.text}`, () => row(() => now));
  return (view) => {
    now = view.now;
    enable([text, keep, ask], able(view));
    write();
    draw(view.book?.notes ?? []);
    refusal(byId("note-refused"), [view.presses.refused("note", 0), view.presses.refused("question", 0)], (why) => label("refused", { why }));
  };
}

/** @param {() => import("../frames.js").Now|null} latest */
function row(latest) {
  const el = make("li");
  const [time, kind, words] = [make("time"), make("b"), make("span")];
  el.append(time, " ", kind, " ", words);
  return {
    el,
    /** @param {Noted} n */
    write(n) {
      const now = latest();
      if (now) say(time, clock(now, n.t));
      say(kind, n.question ? label("question") : "");
      say(words, n.text);
    },
  };
}
