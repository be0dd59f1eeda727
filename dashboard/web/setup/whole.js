// What concerns the page as a whole: its title, the bar that says it is old, and
// which of its sections are there.

import { byId, show } from "../dom.js";
import { bar } from "../parts/old.js";

const phases = {
  waiting: "waiting for the desk",
  hearing: "hearing the desk",
  quiet: "the desk is quiet",
  "not-understood": "nothing understood",
};

/** @returns {(view: import("../types.js").SetupView) => void} */
export function whole() {
  const old = bar();
  return ({ setup, timeOfDay, contact, refused }) => {
    const seen = setup && { from: timeOfDay, link: setup.link };
    // Until the first answer, a refusal says all there is to say.
    old({ seen, contact: setup || !refused ? contact : { live: true, since: 0 } });
    for (const id of ["facts", "strips", "arriving", "faults"]) show(byId(id), setup !== null);
    const title = `Setup${setup ? ": " + (contact.live ? phases[setup.link.phase] : "old, from " + timeOfDay) : ""} · Pawl`;
    if (document.title !== title) document.title = title;
  };
}
