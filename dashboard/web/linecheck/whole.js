// What concerns the page as a whole: its title, how far the check is, what is in the way.

import { byId, say, show } from "../dom.js";
import { label } from "../labels.js";
import { bar } from "../parts/old.js";
import { whole as number } from "../words.js";

/** @returns {(view: import("../types.js").LineView) => void} */
export function whole() {
  const old = bar();
  return ({ check, timeOfDay, contact, refused }) => {
    const seen = check && { from: timeOfDay, link: check.link };
    old({ seen, contact: check || !refused ? contact : { live: true, since: 0 } });
    const progress = check?.on ? label("check-progress", { n: number(check.inputs.filter((i) => i.state === "done").length), of: number(check.all) }) : "";
    say(byId("progress"), progress);
    const trouble = inTheWay(check, refused);
    say(byId("trouble"), trouble);
    show(byId("trouble"), trouble !== "");
    const blind = check !== null && check.link.phase === "hearing" && check.metered === 0;
    say(byId("basis"), blind ? label("check-blind") : "");
    show(byId("basis"), blind);
    document.title = (progress ? progress + " · " : "") + label("title-line-check");
  };
}

/**
 * @param {import("../frames.js").LineAnswer|null} check
 * @param {string} refused
 */
function inTheWay(check, refused) {
  if (!check) return refused || label("looking");
  const { phase, text } = check.link;
  return phase === "waiting" || phase === "not-understood" ? text : "";
}
