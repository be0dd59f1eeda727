// The one whisper: its first sentence, and the rest for who asks.

import { byId, say, show, whenChanged } from "../dom.js";
import { inTwo } from "../words.js";
import { tryWords } from "./card.js";

/** @returns {(view: import("../types.js").View) => void} */
export function whisper() {
  const behind = /** @type {HTMLDetailsElement} */ (byId("whisper-behind"));
  /** @type {import("../types.js").Card|null} */
  let line = null;
  const close = whenChanged(() => (behind.open = false));
  const fill = whenChanged(() => line && write(line));
  return ({ state }) => {
    line = state?.card ? null : (state?.line ?? null);
    show(byId("whisper"), line !== null);
    if (!line) return;
    close(String(line.number));
    fill(JSON.stringify([line.text, line.try]));
  };
}

/** @param {import("../types.js").Card} line */
function write(line) {
  const [first, rest] = inTwo(line.text);
  say(byId("whisper-first"), first);
  say(byId("whisper-rest"), rest);
  byId("whisper-try").replaceChildren(...(line.try ? tryWords(line.try) : []));
  show(byId("whisper-behind"), rest !== "" || line.try !== "");
}
