// The foot, under the thumb: what to press now.

import { byId, say, show } from "../dom.js";
import { label } from "../labels.js";

/**
 * @param {import("./presses.js").Press} press
 * @returns {(view: import("../types.js").LineView) => void}
 */
export function foot(press) {
  let asked = 0;
  byId("begin").addEventListener("click", () => press("begin"));
  byId("later").addEventListener("click", () => press("later", asked));
  byId("enough").addEventListener("click", () => press("done", asked));
  byId("finish").addEventListener("click", () => press("end"));
  return ({ check, presses }) => {
    asked = check?.asked ?? 0;
    const input = check?.inputs[asked - 1];
    show(byId("begin"), check !== null && !check.on);
    byId("begin").toggleAttribute("disabled", check?.link.phase === "waiting"); // there is nothing to check yet
    say(byId("begin"), label(check?.last ? "check-again" : "check-begin"));
    show(byId("later"), input !== undefined);
    show(byId("enough"), input !== undefined);
    show(byId("finish"), check?.on === true && input === undefined);
    // Nothing need be pressed while somebody is waited for, so nothing shines.
    byId("enough").classList.toggle("first", input?.checked === true);
    if (input) say(byId("enough"), label(input.sounded_seconds > 0 ? "check-enough" : "check-leave-out"));
    const why = presses.refused();
    say(byId("refused"), why && label("refused", { why }));
    show(byId("refused"), why !== "");
  };
}
