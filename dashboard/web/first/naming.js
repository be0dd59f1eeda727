// The list to look through before the files are written. What somebody has typed or ticked
// stays as it is while answers come.

import { byId, make, rows, say } from "../dom.js";
import { has, label } from "../labels.js";
import { counted, whole } from "../words.js";

/**
 * What a guess comes to, in words: it is what the house file will say, "element: lead, voice: yes".
 * @param {string} guess
 */
function guessed(guess) {
  const each = guess.split(", ").map((part) => {
    const [key, value] = part.split(": ");
    const id = key === "element" ? `element-${value}` : `first-guess-${key}`;
    return has(id) ? label(id) : part;
  });
  return each.join(", ");
}

/**
 * @param {import("./presses.js").FirstPresses} presses
 * @returns {(first: import("../frames.js").FirstAnswer) => void}
 */
export function naming(presses) {
  /** @type {Map<number, {name: HTMLInputElement, right: HTMLInputElement}>} */
  const kept = new Map();
  const draw = rows(byId("inputs"), (/** @type {import("../frames.js").FirstInput} */ in_) => `${in_.number} ${in_.name} ${in_.guess}`, () => {
    const el = make("li");
    const which = make("span", "which");
    const name = /** @type {HTMLInputElement} */ (make("input"));
    const line = make("label");
    const right = /** @type {HTMLInputElement} */ (make("input"));
    const what = make("span");
    name.maxLength = 60;
    right.type = "checkbox";
    line.append(right, what);
    el.append(which, name, line);
    return {
      el,
      /** @param {import("../frames.js").FirstInput} in_ */
      write(in_) {
        if (kept.get(in_.number)?.name !== name) name.value = in_.name;
        kept.set(in_.number, { name, right });
        say(which, String(in_.number));
        name.setAttribute("aria-label", label("first-name-of", { n: whole(in_.number) }));
        line.hidden = in_.guess === "";
        say(what, guessed(in_.guess));
      },
    };
  });
  byId("write").onsubmit = (e) => {
    e.preventDefault();
    const inputs = [...kept].map(([number, { name, right }]) => ({ number, name: name.value, right: right.checked }));
    presses.press({ do: "write", text: /** @type {HTMLInputElement} */ (byId("place")).value.trim(), inputs });
  };
  byId("reopen").onclick = () => presses.press({ do: "answer", text: "back" });
  return (first) => {
    if (first.stage !== "naming") return;
    draw(first.inputs);
    say(byId("told"), first.told > 0 ? counted("first-told", first.told) : label("first-none-told"));
    for (const id of ["naming-why", "place-line", "files", "write-now"]) byId(id).hidden = first.told === 0;
    say(byId("sums"), [first.dcas.length > 0 ? label("first-dcas", { names: first.dcas.join(", ") }) : "", first.groups.length > 0 ? label("first-groups", { names: first.groups.join(", ") }) : ""].filter(Boolean).join(" "));
    say(byId("files"), label("first-files", { map: first.map, house: first.house }));
  };
}
