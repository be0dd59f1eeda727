// Keeps whispers and cards from the operator's screen, for everybody who coaches, until
// somebody lets go. What cannot wait still comes there.

import { byId, say } from "../dom.js";
import { label } from "../labels.js";
import { able, enable } from "./foot.js";

/**
 * @param {import("../types.js").Hands} hands
 * @returns {(view: import("../types.js").View) => void}
 */
export function hold({ press }) {
  const button = /** @type {HTMLButtonElement} */ (byId("hold"));
  let held = false;
  button.onclick = () => press("hold", 0, { on: !held });
  return (view) => {
    held = view.now?.hold === true;
    enable([button], able(view));
    say(button, label(held ? "let-go" : "hold"));
    button.setAttribute("aria-pressed", String(held));
    byId("coach").toggleAttribute("data-holding", held);
    say(byId("hold-means"), label(held ? "holding" : "hold-means"));
  };
}
