// What moves on the desk just now, and the inputs' faders once it is known which they are.

import { byId, make, put, rows, say, show } from "../dom.js";

/** @returns {(first: import("../frames.js").FirstAnswer) => void} */
export function live() {
  const moving = rows(byId("moving"), (/** @type {import("../frames.js").FirstMoved} */ m) => m.what, () => {
    const el = make("li");
    const [what, to] = [make("span"), make("b")];
    el.append(what, to);
    return {
      el,
      /** @param {import("../frames.js").FirstMoved} m */
      write(m) {
        say(what, m.what);
        say(to, m.to);
      },
    };
  });
  const faders = rows(byId("faders"), (/** @type {import("../frames.js").FirstFader} */ f) => String(f.number), () => {
    const el = make("li");
    const [bead, number] = [make("i"), make("span")];
    el.append(bead, number);
    return {
      el,
      /** @param {import("../frames.js").FirstFader} f */
      write(f) {
        bead.style.top = `${((1 - f.at) * 100).toFixed(1)}%`;
        say(number, String(f.number));
        put(number, "left", "0");
      },
    };
  });
  return (first) => {
    moving(first.moving);
    show(byId("nothing-moving"), first.moving.length === 0);
    faders(first.faders);
    show(byId("faders-heading"), first.faders.length > 0);
  };
}
