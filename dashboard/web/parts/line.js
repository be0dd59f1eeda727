// The one line, always at the same place: that the figures are old, what can be taken back
// just now, what the coach sent, what the card says, a whisper, or that nothing needs anybody.

import { byId, say, set, show, whenChanged } from "../dom.js";
import { tell as gloss } from "../gloss.js";
import { label } from "../labels.js";
import { said } from "../words.js";
import { freshness, whatIsOld } from "./old.js";

/** @typedef {"old"|"coach"|"card"|"whisper"|"calm"|""} Tone */

/**
 * @param {import("../types.js").Hands} hands
 * @returns {(view: import("../types.js").View) => void}
 */
export function line({ press, regrets, open }) {
  const place = byId("line");
  const more = byId("line-more");
  const back = byId("line-back");
  let number = 0;
  let told = 0;
  const seen = byId("line-seen");
  seen.onclick = () => press("tell-seen", told);
  back.onclick = () => regrets.take();
  more.onclick = () => open(more.getAttribute("aria-expanded") === "true" ? 0 : number);
  const tell = whenChanged((key) => {
    const [tone, text] = key.split("\n");
    place.dataset.tone = tone;
    gloss(byId("line-said"), text);
  });
  return (view) => {
    const { regret } = view;
    if (regret) say(back, regret.take);
    else if (document.activeElement === back) byId("said").focus(); // which would else throw the keyboard to the top
    show(back, regret !== null);
    told = view.now?.told?.number ?? 0;
    const [tone, text] = words(view);
    tell(tone + "\n" + text);
    show(seen, tone === "coach");
    const whisper = tone === "whisper" && !regret ? (view.now?.line ?? null) : null;
    number = whisper?.number ?? 0;
    show(more, whisper !== null && goesOn(whisper));
    set(more, "aria-expanded", String(view.opened !== 0 && view.opened === number));
  };
}

/**
 * @param {import("../types.js").View} view
 * @returns {[Tone, string]}
 */
function words(view) {
  const { now, contact, regret } = view;
  const old = whatIsOld(freshness(view));
  if (old) return ["old", old];
  if (!now) return ["", ""];
  if (regret) return ["whisper", regret.said];
  if (now.told) return ["coach", label("from-coach", { text: now.told.text })];
  const [first = ""] = said(now.card ?? now.line ?? none).what;
  if (now.card) return ["card", first];
  if (now.line) return ["whisper", now.line.state === "eased" ? label("eased", { what: first }) : first];
  return contact.live && now.link.phase === "hearing" ? ["calm", label(now.hold ? "calm-held" : "calm")] : ["", ""];
}

const none = /** @type {import("../frames.js").Finding} */ ({});

/** @param {import("../frames.js").Finding} finding */
const goesOn = (finding) => said(finding).what.length > 1 || said(finding).try !== "";
