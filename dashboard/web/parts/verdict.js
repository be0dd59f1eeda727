// The verdict: am I louder than I meant to be, and is it me?

import { byId, say, show } from "../dom.js";
import { fill, label } from "../labels.js";
import { change, minute } from "../words.js";

/** @returns {(view: import("../types.js").View) => void} */
export function verdict() {
  const rise = byId("rise");
  return ({ now }) => {
    if (!now) return;
    const deaf = now.link.phase === "waiting" || now.link.phase === "not-understood";
    const measured = !deaf && now.words.causes !== "";
    show(rise, measured);
    say(byId("rise-number"), measured ? change(now.rise_db ?? 0) : "");
    say(byId("lead"), deaf ? label(now.link.phase === "waiting" ? "deaf" : "foreign") : now.words.lead);
    say(byId("rest"), deaf ? label("deaf-then") : now.words.rest);
    say(byId("since"), measured && now.mark.set ? fill(now.words.mark, { at: minute(now, now.mark.t) }) : "");
    say(byId("basis"), deaf ? "" : now.words.basis);
  };
}
