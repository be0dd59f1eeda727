// The part of the service that this is, and how long it has been; a tap goes on to the
// next, and for a while that can be taken back.

import { byId, make, say, show, whenChanged } from "../dom.js";
import { label } from "../labels.js";
import { whole } from "../words.js";

/**
 * @param {import("../types.js").Hands} hands
 * @returns {(view: import("../types.js").View) => void}
 */
export function segment({ press }) {
  const button = /** @type {HTMLButtonElement} */ (byId("segment"));
  const back = byId("segment-back");
  const [first, second] = [make("span"), make("small")];
  button.append(first, " ", second);
  /** @type {import("../frames.js").SegmentPicture|null} */
  let here = null;
  button.onclick = () => press("segment", 0, next(here));
  back.onclick = () => press("back", 0);
  const tell = whenChanged((key) => {
    const [is, then] = key.split("\n");
    say(first, is);
    say(second, then);
  });
  return ({ now, contact, language }) => {
    here = now?.segment ?? null;
    const able = contact.live && now?.link.phase === "hearing";
    if (button.disabled === able) button.disabled = !able;
    show(back, able && here?.back === true);
    if (!now || !here) return;
    const minutes = Math.max(0, Math.floor((now.t - here.since) / 60));
    tell([named(here) + " · " + label("minutes", { n: whole(minutes) }), label("tap-for", { what: after(here) }), language].join("\n"));
  };
}

/** @param {import("../frames.js").SegmentPicture} s */
const named = (s) => s.name || label("segment-" + (s.kind || "unknown"));

/** @param {import("../frames.js").SegmentPicture} s */
const after = (s) => s.next || label("segment-" + other(s));

/**
 * What a tap asks for: the next of the running order, or where there is none the other of
 * the two that a service goes between.
 * @param {import("../frames.js").SegmentPicture|null} s
 * @returns {Partial<import("../frames.js").Press>}
 */
const next = (s) => (s?.next ? { next: true } : { kind: other(s) });

/** @param {import("../frames.js").SegmentPicture|null} s */
const other = (s) => (s?.kind === "music" ? "speech" : "music");
