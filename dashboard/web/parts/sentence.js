// The one sentence: am I louder than I meant to be, and is it me?

import { byId, make, say, whenChanged } from "../dom.js";

/** @type {Record<string, string>} */
const basis = {
  faders: "From the faders alone: no meters are heard, so what the stage did is not known.",
  partly: "Some meters are not heard, so the stage's part is not whole.",
};

/** @type {Record<string, string>} */
const headings = {
  waiting: "Waiting for the desk.",
  "not-understood": "Packets arrive, and none are understood.",
};

/** @returns {(view: import("../types.js").View) => void} */
export function sentence() {
  const said = byId("said");
  const under = byId("basis");
  const draw = whenChanged((text) => {
    // The number is what a glance is after, so it stands out of the sentence.
    const [, number, rest] = /^([+\-−]?\d+(?:\.\d+)? dB)(.*)$/s.exec(text) ?? [null, "", text];
    said.replaceChildren(...(number ? [make("strong", "", number.replace("-", "−"))] : []), rest.replaceAll(" -", " −"));
  });
  return ({ state }) => {
    if (!state) return;
    draw(headings[state.link.phase] ?? (state.sentence || "Hearing the desk. The first figures come in a few seconds."));
    const figures = !(state.link.phase in headings);
    say(under, figures ? [basis[state.basis] ?? "", state.confidence].filter(Boolean).join(" ") : "");
  };
}
