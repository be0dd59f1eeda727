// What concerns the page as a whole: its title, the bar that says it is old, and
// which of its sections are there.

import { byId, show } from "../dom.js";
import { label } from "../labels.js";
import { bar } from "../parts/old.js";

const phases = { waiting: "title-waiting", hearing: "title-hearing", quiet: "title-desk-quiet", "not-understood": "title-foreign" };

/** @returns {(view: import("../types.js").SetupView) => void} */
export function whole() {
  const old = bar();
  return ({ setup, timeOfDay, contact, refused }) => {
    const seen = setup && { from: timeOfDay, link: setup.link };
    // Until the first answer, a refusal says all there is to say.
    old({ seen, contact: setup || !refused ? contact : { live: true, since: 0 } });
    for (const id of ["facts", "strips", "arriving", "faults"]) show(byId(id), setup !== null);
    const title = setup ? label("title-setup-so", { how: label(contact.live ? phases[setup.link.phase] : "title-setup-old", { at: timeOfDay }) }) : label("title-setup");
    if (document.title !== title) document.title = title;
  };
}
