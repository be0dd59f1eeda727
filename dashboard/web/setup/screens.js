// The screens that may look from elsewhere: who has a key, and a code for another. They are
// asked for by themselves, and seldom: nothing here changes with the desk.

import { byId, make, rows, say, show } from "../dom.js";
import { label } from "../labels.js";
import { poll } from "../poll.js";
import { exchange, post } from "../post.js";

const every = 5000; // ms
const margin = 4; // light modules around a QR code, as ISO/IEC 18004 asks

const mays = { watch: "screens-may-watch", coach: "screens-may-coach", installer: "screens-may-installer" };

/** @param {import("../frames.js").Key} k */
function standing(k) {
  const put = { date: new Date(k.made).toLocaleDateString(document.documentElement.lang), id: k.id };
  if (k.yours) return label("screens-yours", put);
  return k.here ? label("screens-here", put) : label("screens-since", put);
}

/** @returns {() => void} */
export function screens() {
  const list = rows(byId("keys"), (/** @type {import("../frames.js").Key} */ k) => k.id, row);
  const daemon = poll("/api/keys", {
    answer(/** @type {import("../frames.js").KeysAnswer} */ a) {
      show(byId("screens"), true);
      show(byId("screens-local"), a.local);
      show(byId("invite"), !a.local);
      say(byId("screens-lead"), a.keys.length || a.local ? "" : label("screens-none"));
      refuse(a.refused);
      list(a.keys);
    },
    refusal() {},
    contact() {},
  }, every);

  function row() {
    const el = make("li");
    const [who, since, end] = [make("b"), make("span", "soft"), make("button", "", label("screens-revoke"))];
    end.setAttribute("type", "button");
    el.append(who, since, end);
    let sure = false;
    return {
      el,
      /** @param {import("../frames.js").Key} k */
      write(k) {
        const named = k.called || label("screens-unnamed");
        say(who, named + ", " + label(mays[k.may]));
        say(since, standing(k));
        end.setAttribute("aria-label", label(sure ? "screens-revoke-sure" : "screens-revoke") + ": " + named + " " + k.id);
        end.onclick = async () => {
          if (!sure) {
            sure = true;
            say(end, label("screens-revoke-sure"));
            return;
          }
          refuse(await post("/api/keys", { do: "revoke", id: k.id }));
          daemon.again();
        };
      },
    };
  }

  byId("invite").onsubmit = async (event) => {
    event.preventDefault();
    const may = /** @type {HTMLSelectElement} */ (byId("invite-may")).value;
    const called = /** @type {HTMLInputElement} */ (byId("invite-called")).value.trim();
    /** @type {import("../frames.js").KeysPressed} */
    const a = await exchange("/api/keys", { do: "invite", may, called });
    refuse(a.refused);
    if (a.code) offer(a);
  };
  return () => {};
}

/** @param {import("../frames.js").KeysPressed} a */
function offer(a) {
  show(byId("offered"), true);
  say(byId("offered-code"), a.code ?? "");
  say(byId("offered-at"), label("screens-open", { address: (a.address ?? "").split("#")[0] }));
  say(byId("offered-until"), label("screens-until", { at: new Date(a.until ?? "").toTimeString().slice(0, 5) }));
  byId("offered-drawn").replaceChildren(drawn(a.drawn ?? []));
  byId("offered").focus();
}

/** @param {string[]} code rows of 0 and 1 */
function drawn(code) {
  const space = "http://www.w3.org/2000/svg";
  const [svg, path] = [document.createElementNS(space, "svg"), document.createElementNS(space, "path")];
  const size = code.length + 2 * margin;
  svg.setAttribute("viewBox", `0 0 ${size} ${size}`);
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", label("screens-drawn"));
  svg.setAttribute("shape-rendering", "crispEdges");
  // A camera needs dark on light, whatever the page's colours are.
  const ground = document.createElementNS(space, "rect");
  ground.setAttribute("width", "100%");
  ground.setAttribute("height", "100%");
  ground.setAttribute("fill", "white");
  path.setAttribute("fill", "black");
  path.setAttribute("d", code.map((line, y) => [...line].map((dark, x) => (dark === "1" ? `M${x + margin} ${y + margin}h1v1h-1z` : "")).join("")).join(""));
  svg.append(ground, path);
  return svg;
}

/** @param {string} why */
function refuse(why) {
  say(byId("screens-refused"), why && label("refused", { why }));
  show(byId("screens-refused"), why !== "");
}
