// The foot, always in sight: the way back, what moved last, how the desk is heard.
// A screen reader is told of a move once the hand has come to rest.

import { byId, make, say, whenChanged } from "../dom.js";
import { label } from "../labels.js";
import { linkWords } from "../parts/foot.js";

/** @returns {(view: import("../types.js").SetupView) => void} */
export function foot() {
  const place = byId("announce");
  let last = "";
  const tell = whenChanged((text) => {
    if (text) place.append(make("p", "", last));
    while (place.childElementCount > 4) place.firstElementChild?.remove();
  });
  const tellLink = whenChanged((text) => text && place.append(make("p", "", text)));
  return ({ setup, moved, contact }) => {
    if (!setup) return;
    const words = linkWords(contact, setup.link);
    showMove(moved);
    say(byId("link"), words);
    say(byId("house"), setup.house);
    say(byId("house-heading"), setup.house && label("at-house", { house: setup.house }));
    if (moved?.settled) {
      last = moved.text + ".";
      tell(moved.at + last);
    }
    tellLink(label(contact.live ? linkNews[setup.link.phase] : "not-live"));
  };
}

const linkNews = { waiting: "news-waiting", hearing: "news-hearing", quiet: "news-quiet", "not-understood": "foreign" };

const drawMove = whenChanged((key) => {
  const [first, text] = key.split("\n");
  const link = /** @type {HTMLAnchorElement} */ (make("a", "quiet-link", text));
  link.href = "#" + first;
  byId("moved").replaceChildren(link);
});

/** @param {import("./moves.js").Moved|null} moved */
function showMove(moved) {
  if (moved) drawMove(moved.first + "\n" + moved.text);
  else say(byId("moved"), label("nothing-moved"));
}
