// The one whisper: its first sentence, and the rest for who asks.

import { byId, say, show, whenChanged } from "../dom.js";
import { said } from "../words.js";
import { suggestion } from "./try.js";

/** @returns {(view: import("../types.js").View) => void} */
export function whisper() {
  const behind = /** @type {HTMLDetailsElement} */ (byId("whisper-behind"));
  /** @type {import("../frames.js").Finding|null} */
  let line = null;
  const close = whenChanged(() => (behind.open = false));
  const fill = whenChanged(() => line && write(line));
  return ({ now, language }) => {
    line = now?.card ? null : (now?.line ?? null);
    show(byId("whisper"), line !== null);
    if (!line) return;
    close(String(line.number));
    fill(`${line.n} ${language}`);
  };
}

/** @param {import("../frames.js").Finding} line */
function write(line) {
  const [first = "", ...rest] = said(line).what;
  const act = suggestion(line);
  say(byId("whisper-first"), first);
  say(byId("whisper-rest"), rest.join(" "));
  byId("whisper-try").replaceChildren(...act);
  show(byId("whisper-behind"), rest.length + act.length > 0);
}
