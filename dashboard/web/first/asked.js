// The question, what may be answered, and what was seen after the last answer.

import { byId, make, say, show, whenChanged } from "../dom.js";
import { label } from "../labels.js";
import { whole } from "../words.js";

/**
 * @param {import("./presses.js").FirstPresses} presses
 * @returns {(first: import("../frames.js").FirstAnswer) => void}
 */
export function asked(presses) {
  const number = /** @type {HTMLInputElement} */ (byId("number"));
  const words = { none: "none", wrong: "not that one", another: "that was another", back: "back", stop: "stop" };
  /** @param {string} text */
  const answer = (text) => presses.press({ do: "answer", text });
  for (const [id, word] of Object.entries(words)) byId(id).onclick = () => answer(word);
  byId("answer").onsubmit = async (e) => {
    e.preventDefault();
    const typed = number.hidden ? "" : number.value.trim();
    await answer(typed);
  };
  /** @type {string[]} */
  let lines = [];
  const tell = whenChanged(() => byId("said").replaceChildren(...lines.map((line) => make("p", "", line))));
  const fresh = whenChanged(() => {
    number.value = "";
    window.scrollTo(0, 0);
  });
  return (first) => {
    if (first.stage !== "asking") return;
    const { asks } = first;
    fresh(`${asks.done} ${first.question}`);
    say(byId("progress"), label("first-progress", { n: whole(asks.done + 1), most: whole(asks.done + asks.to_come) }));
    say(byId("question"), first.question);
    show(byId("number-place"), asks.number);
    show(byId("number-words"), asks.number);
    show(byId("none"), asks.none);
    show(byId("wrong"), asks.wrong);
    show(byId("another"), asks.wrong);
    show(byId("back"), asks.back);
    lines = first.said;
    tell(lines.join("\n"));
  };
}
