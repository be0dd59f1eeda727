// What can be changed of a service: its name, who was mixing, where it begins and ends.

import { byId, say, show } from "../dom.js";
import { label } from "../labels.js";
import { momentOf, writeMoment } from "./moments.js";
import { title } from "./said.js";

const second = 5000; // ms in which the second press must follow the first

/**
 * @param {{edit: (edit: Partial<import("../frames.js").Edit>, refused: HTMLElement) => Promise<boolean>}} to
 */
export function change({ edit }) {
  const field = (/** @type {string} */ id) => /** @type {HTMLInputElement} */ (byId(id));
  const refused = byId("change-refused");
  /** @type {import("../frames.js").ReviewOne|null} */
  let shown = null;

  /**
   * @param {string} id
   * @param {() => Partial<import("../frames.js").Edit>} asked
   */
  function form(id, asked) {
    byId(id).onsubmit = (e) => {
      e.preventDefault();
      if (shown) edit(asked(), refused);
    };
  }
  form("name-form", () => ({ do: "rename", text: field("name").value.trim() }));
  form("mixing-form", () => ({ do: "label", text: field("mixing").value.trim() }));
  form("split-form", () => ({ do: "split", t: shown ? momentOf(field("split-time").value, shown) : 0 }));

  /**
   * Takes two presses: none of these can be taken back by one.
   * @param {string} id
   * @param {string} again what the second press is asked for with
   * @param {() => Partial<import("../frames.js").Edit>} asked
   */
  function twice(id, again, asked) {
    const button = byId(id);
    let words = button.textContent ?? "";
    let waits = 0; // for the second press, if it is not 0
    const rest = () => {
      clearTimeout(waits);
      waits = 0;
      say(button, words);
    };
    button.onclick = () => {
      if (waits) {
        rest();
        edit(asked(), refused);
        return;
      }
      say(button, again);
      waits = setTimeout(rest, second);
    };
    /** @param {string} text what it says while nobody has pressed it once */
    return (text) => {
      words = text;
      if (!waits) say(button, words);
    };
  }
  twice("delete", label("change-delete-again"), () => ({ do: "delete" }));
  const sayEarlier = twice("join-earlier", label("change-join-again"), () => ({ do: "join", with: shown?.earlier?.id }));
  const sayLater = twice("join-later", label("change-join-again"), () => ({ do: "join", with: shown?.later?.id }));

  return {
    /** @param {number} t where a split would be */
    at(t) {
      if (shown && document.activeElement !== field("split-time")) writeMoment(field("split-time"), t, shown);
    },
    /** @param {import("../frames.js").ReviewOne} one */
    draw(one) {
      // What somebody is typing stays, until the service itself is called otherwise.
      if (shown?.service.name !== one.service.name) field("name").value = one.service.name;
      if (shown?.service.mixing !== one.service.mixing) field("mixing").value = one.service.mixing;
      shown = one;
      show(byId("join-earlier"), one.earlier !== null);
      show(byId("join-later"), one.later !== null);
      if (one.earlier) sayEarlier(label("change-join-earlier", { title: title(one.earlier) }));
      if (one.later) sayLater(label("change-join-later", { title: title(one.later) }));
    },
  };
}
