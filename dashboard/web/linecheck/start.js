// Before it begins, and after it has ended: how long it takes, and what the last one found.

import { byId, make, rows, say, show } from "../dom.js";
import { label } from "../labels.js";
import { called, counted } from "../words.js";
import { remarkItem } from "./remark.js";

/** @returns {(view: import("../types.js").LineView) => void} */
export function start() {
  const draw = rows(byId("last-list"), (/** @type {[string, import("../frames.js").LineRemark[]]} */ [name]) => name, row);
  return ({ check }) => {
    show(byId("start"), check !== null && !check.on && !check.last);
    show(byId("last"), check !== null && !check.on && check.last !== null);
    if (!check || check.on) return;
    // A quarter of a minute for each: ten seconds, and somebody who looks up.
    const minutes = Math.max(1, Math.round(check.all / 4));
    say(byId("start-words"), label("check-start", { inputs: counted("inputs", check.all), minutes: counted("check-minutes", minutes) }));
    const last = check.last;
    if (!last) return;
    say(byId("last-words"), (last.words ?? []).join("\n"));
    /** @type {[string, import("../frames.js").LineRemark[]][]} */
    const found = last.inputs.filter((i) => i.remarks.length > 0).map((i) => [called(i.who), i.remarks]);
    if (last.desk.length > 0) found.push([label("check-desk"), last.desk]);
    draw(found);
  };
}

function row() {
  const el = make("li", "input");
  const name = make("h3", "name");
  const list = make("ul", "remarks");
  const draw = rows(list, (/** @type {import("../frames.js").LineRemark} */ r) => r.kind + (r.words?.says ?? ""), remarkItem);
  el.append(name, list);
  return {
    el,
    /** @param {[string, import("../frames.js").LineRemark[]]} one */
    write([who, remarks]) {
      say(name, who);
      draw(remarks);
    },
  };
}
