// A remark: what was found, and what to do about it.

import { make } from "../dom.js";
import { tell } from "../gloss.js";

export function remarkItem() {
  const el = make("li", "remark");
  const says = make("span", "says");
  const act = make("b", "try");
  el.append(says, " ", act);
  return {
    el,
    /** @param {import("../frames.js").LineRemark} r */
    write(r) {
      tell(says, r.words?.says ?? "");
      tell(act, r.words?.try ?? "");
    },
  };
}
