// A remark: what was found, and what to do about it.

import { make, say } from "../dom.js";

export function remarkItem() {
  const el = make("li", "remark");
  const says = make("span", "says");
  const act = make("b", "try");
  el.append(says, " ", act);
  return {
    el,
    /** @param {import("../frames.js").LineRemark} r */
    write(r) {
      say(says, r.words?.says ?? "");
      say(act, r.words?.try ?? "");
    },
  };
}
