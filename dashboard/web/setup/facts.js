// Three counts that say at a glance where to look, and lead there.

import { byId, say } from "../dom.js";
import { label } from "../labels.js";
import { counted, whole } from "../words.js";
import { notInMap } from "./arriving.js";

/** @returns {(view: import("../types.js").SetupView) => void} */
export function facts() {
  return ({ setup }) => {
    if (!setup) return;
    const heard = setup.inputs.filter((one) => one.fader).length;
    fact("strips", label("some-of", { n: whole(heard), of: whole(setup.inputs.length) }), label("faders-heard"), heard < setup.inputs.length);
    const [some, rest] = notInMap(setup);
    // What Pawl has no use for may stay out of the map; only a map that hears nothing is wrong.
    fact("arriving", some, rest, setup.arriving.length > 0 && setup.arriving.every((one) => !one.heard));
    const wrong = setup.faults.filter((f) => !f.advice).length;
    const read = setup.faults_age !== "" || wrong > 0;
    fact("faults", wrong ? whole(wrong) : label("faults-none"), read ? counted("faults-in-files", wrong) : label("files-none"), wrong > 0);
  };
}

/**
 * @param {string} id
 * @param {string} number
 * @param {string} words
 * @param {boolean} mind
 */
function fact(id, number, words, mind) {
  say(byId("fact-" + id), number);
  say(byId(`fact-${id}-words`), words);
  byId("fact-" + id).parentElement?.toggleAttribute("data-mind", mind);
}
