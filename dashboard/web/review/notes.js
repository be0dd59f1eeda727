// The notes of a service, and a form for another one at a moment.

import { byId, make, show } from "../dom.js";
import { label } from "../labels.js";
import { clock } from "./said.js";
import { momentOf, writeMoment } from "./moments.js";

/**
 * @param {{go: (t: number) => void, edit: (edit: Partial<import("../frames.js").Edit>, refused: HTMLElement) => Promise<boolean>}} to
 */
export function notes({ go, edit }) {
  const text = /** @type {HTMLInputElement} */ (byId("note-text"));
  const time = /** @type {HTMLInputElement} */ (byId("note-time"));
  const refused = byId("note-refused");
  /** @type {import("../frames.js").ReviewOne|null} */
  let shown = null;
  byId("note-form").onsubmit = async (e) => {
    e.preventDefault();
    if (!shown) return;
    if (await edit({ do: "note", t: momentOf(time.value, shown), text: text.value.trim() }, refused)) text.value = "";
  };
  return {
    /** @param {number} t the moment that the next note is about */
    at(t) {
      if (shown && document.activeElement !== time) writeMoment(time, t, shown);
    },
    /** @param {import("../frames.js").ReviewOne} one */
    draw(one) {
      shown = one;
      const list = byId("note-list");
      show(list, one.remarks.length > 0);
      list.replaceChildren(...one.remarks.map((note) => {
        const li = make("li");
        const moment = /** @type {HTMLButtonElement} */ (make("button", "moment", clock(one.service, note.t)));
        moment.type = "button";
        moment.onclick = () => go(note.t);
        li.append(moment, make("span", "", note.question ? label(note.open ? "asked-open" : "asked", { what: note.text || label("a-bookmark") }) : note.text || label("a-bookmark")));
        if (note.open) li.append(answerButton(() => { writeMoment(time, note.t, one); text.focus(); }, clock(one.service, note.t)));
        if (note.id) {
          const away = /** @type {HTMLButtonElement} */ (make("button", "quiet", label("delete")));
          away.type = "button";
          away.setAttribute("aria-label", label("delete-note", { at: clock(one.service, note.t) }));
          away.onclick = () => edit({ do: "unnote", with: note.id }, refused);
          li.append(away);
        }
        return li;
      }));
    },
  };
}

/**
 * What answers a question is a note about the same moment.
 * @param {() => void} begin
 * @param {string} at
 */
function answerButton(begin, at) {
  const answer = /** @type {HTMLButtonElement} */ (make("button", "quiet", label("answer")));
  answer.type = "button";
  answer.setAttribute("aria-label", label("answer-question", { at }));
  answer.onclick = begin;
  return answer;
}
