// What concerns the page as a whole: its title, how far the check is, what is in the way.

import { byId, say, show } from "../dom.js";
import { bar } from "../parts/old.js";

/** @returns {(view: import("../types.js").LineView) => void} */
export function whole() {
  const old = bar();
  return ({ check, timeOfDay, contact, refused }) => {
    const seen = check && { from: timeOfDay, link: check.link };
    old({ seen, contact: check || !refused ? contact : { live: true, since: 0 } });
    const progress = check?.on ? `${check.inputs.filter((i) => i.state === "done").length} of ${check.all} done` : "";
    say(byId("progress"), progress);
    const trouble = inTheWay(check, refused);
    say(byId("trouble"), trouble);
    show(byId("trouble"), trouble !== "");
    const blind = check !== null && check.link.phase === "hearing" && check.metered === 0;
    say(byId("basis"), blind ? "Pawl hears no levels from this desk. It can look at faders, mutes and routing, and your ears do the rest." : "");
    show(byId("basis"), blind);
    document.title = (progress ? progress + " · " : "") + "Line check · Pawl";
  };
}

/**
 * @param {import("../frames.js").LineAnswer|null} check
 * @param {string} refused
 */
function inTheWay(check, refused) {
  if (!check) return refused || "Looking for Pawl.";
  const { phase, text } = check.link;
  return phase === "waiting" || phase === "not-understood" ? text : "";
}
