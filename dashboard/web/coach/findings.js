// Everything that was found in this service, with what became of it: also what the operator
// never saw, and why.

import { byId, make, rows, say, show } from "../dom.js";
import { label } from "../labels.js";
import { clock, said, whole } from "../words.js";

/** @typedef {import("../frames.js").Trace} Trace */

/** @param {Trace} t */
const of = (t) => /** @type {import("../frames.js").Finding} */ (t.finding);

/** @returns {(view: import("../types.js").View) => void} */
export function findings() {
  /** @type {import("../frames.js").Now|null} */
  let now = null;
  const over = byId("findings-over");
  const key = (/** @type {Trace} */ t) => String(of(t).number);
  const drawOpen = rows(byId("findings-open"), key, () => row(() => now));
  const drawOver = rows(/** @type {HTMLElement} */ (over.querySelector("ul")), key, () => row(() => now));
  return (view) => {
    now = view.now;
    const all = view.book?.traces ?? [];
    const open = all.filter((t) => t.ended === null);
    const ended = all.filter((t) => t.ended !== null);
    drawOpen(open);
    drawOver(ended);
    show(byId("findings-none"), all.length === 0);
    show(over, ended.length > 0);
    say(/** @type {HTMLElement} */ (over.querySelector("summary")), label("findings-over", { n: whole(ended.length) }));
    const held = open.filter((t) => t.held_back !== null).length;
    say(byId("findings-count"), held > 0 ? label("findings-held", { n: whole(held) }) : "");
  };
}

/** @param {() => import("../frames.js").Now|null} latest */
function row(latest) {
  const el = make("li");
  const details = make("details");
  const summary = make("summary");
  const [state, what, why] = [make("span", "state"), make("span", "what"), make("span", "why")];
  summary.append(state, what, why);
  const [rest, act] = [make("p", "rest"), make("p", "act")];
  details.append(summary, rest, act);
  el.append(details);
  return {
    el,
    /** @param {Trace} t */
    write(t) {
      const now = latest();
      if (!now) return;
      const words = said(of(t));
      const [first = "", ...more] = words.what;
      el.dataset.state = fate(t);
      el.dataset.weight = of(t).weight;
      say(state, [label("fate-" + fate(t)), label("weight-" + of(t).weight), times(t, now)].join(" · "));
      say(what, first);
      say(why, t.held_back && t.held_back.id !== "held.seen" ? label("held-because", { why: t.why }) : "");
      say(rest, more.join(" "));
      say(act, [words.try, words.then].filter(Boolean).join(" "));
      show(rest, rest.textContent !== "");
      show(act, act.textContent !== "");
    },
  };
}

/**
 * @param {Trace} t
 * @returns {"on"|"held"|"seen"|"over"|"unseen"}
 */
function fate(t) {
  if (t.on) return "on";
  if (t.ended !== null) return t.shown === null ? "unseen" : "over";
  return t.seen === null ? "held" : "seen";
}

/**
 * @param {Trace} t
 * @param {import("../frames.js").Now} now
 */
function times(t, now) {
  return t.ended === null ? clock(now, t.opened) : `${clock(now, t.opened)}–${clock(now, t.ended)}`;
}
