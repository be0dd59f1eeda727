// What other limits would have said of a service: both lists side by side, from its capture.

import { byId, make, say, show } from "../dom.js";
import { label } from "../labels.js";
import { counted, said, whole } from "../words.js";
import { send } from "./ask.js";
import { clock } from "./said.js";

/** @typedef {import("../frames.js").ReviewOne} One */

/** @returns {(one: One) => void} */
export function otherwise() {
  const limits = /** @type {HTMLTextAreaElement} */ (byId("otherwise-limits"));
  const refused = byId("otherwise-refused");
  const table = byId("otherwise-table");
  /** @type {One|null} */
  let shown = null;
  let asked = 0; // only the newest question is answered on the page
  byId("otherwise-form").onsubmit = async (e) => {
    e.preventDefault();
    if (!shown) return;
    const mine = ++asked;
    show(refused, false);
    say(byId("otherwise-state"), label("otherwise-busy"));
    try {
      const compared = await send(`services/${shown.service.id}/otherwise`, limits.value);
      if (mine !== asked) return;
      draw(shown, compared);
      say(byId("otherwise-state"), [label("otherwise-done"), ...compared.notes].join(" "));
      show(table, compared.rows.length > 0);
    } catch (why) {
      if (mine !== asked) return;
      say(byId("otherwise-state"), "");
      say(refused, why instanceof Error ? why.message : String(why));
      show(refused, true);
      show(table, false);
    }
  };
  return (one) => {
    shown = one;
  };
}

/**
 * @param {One} one
 * @param {import("../frames.js").Compared} compared
 */
function draw(one, { rows, both, only_then, only_other }) {
  say(byId("otherwise-caption"), counted("otherwise-sum", both, { then: whole(only_then), other: whole(only_other) }));
  byId("otherwise-rows").replaceChildren(...rows.map(({ then, other }) => {
    const tr = make("tr");
    const when = make("th", "", clock(one.service, (then ?? other)?.from ?? 0));
    when.setAttribute("scope", "row");
    tr.append(when, cell(one, then), cell(one, other));
    return tr;
  }));
}

/**
 * @param {One} one
 * @param {import("../frames.js").Said|null} what
 */
function cell(one, what) {
  const td = make("td", what ? "" : "none");
  if (!what?.finding) {
    td.textContent = label("nothing");
    return td;
  }
  const [first = ""] = said(what.finding).what;
  td.append(make("span", "", first), " ", make("small", "", label(what.shown ? "at-shown" : "at-held", { at: clock(one.service, what.from) })));
  return td;
}
