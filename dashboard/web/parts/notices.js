// What is wrong until it is cured.

import { byId, make, show, whenChanged } from "../dom.js";

/** @returns {(view: import("../types.js").View) => void} */
export function notices() {
  const place = byId("notices");
  /** @type {import("../frames.js").Notice[]} */
  let list = [];
  const draw = whenChanged(() => {
    place.replaceChildren(
      ...list.map((notice) => {
        const p = make("p", "notice", notice.text);
        p.tabIndex = 0; // long ones scroll, and a keyboard must reach them
        return p;
      }),
    );
    show(place, list.length > 0);
  });
  return ({ now }) => {
    list = now?.notices ?? [];
    draw(JSON.stringify(list));
  };
}
