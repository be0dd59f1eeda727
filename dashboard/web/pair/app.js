// Where a screen gets a key for its code. A code that came in the address, behind the #,
// is taken at once and leaves it: nobody sees it there, or finds it in a history.

import { byId, say, show } from "../dom.js";
import { label } from "../labels.js";
import { language } from "../parts/language.js";
import { exchange } from "../post.js";

const patience = 8000; // ms for an answer
const asked = new URLSearchParams(location.search);
const home = { watch: "/", coach: "/coach", installer: "/setup" };
const field = /** @type {HTMLInputElement} */ (byId("code"));

language();
explain();
byId("pairing").onsubmit = (event) => {
  event.preventDefault();
  pair(field.value);
};
const brought = decodeURIComponent(location.hash.slice(1));
if (brought) {
  history.replaceState(null, "", location.pathname + location.search);
  field.value = brought;
  pair(brought);
} else field.focus();

// Whoever has a key already was sent here because it may do less than the page takes.
function explain() {
  if (!asked.get("may")) return;
  if (asked.get("needs") === "coach") say(byId("why"), label("pair-needs-coach"));
  if (asked.get("needs") === "installer") say(byId("why"), label("pair-needs-installer"));
}

/** @param {string} code */
async function pair(code) {
  refuse("");
  say(byId("state"), label("pair-asking"));
  /** @type {Partial<import("../frames.js").Paired> & {refused: string}} */
  const answer = await exchange("/api/pair", { code }, patience);
  say(byId("state"), "");
  if (answer.refused || !answer.may) {
    refuse(answer.refused);
    field.select();
    return;
  }
  say(byId("state"), label("pair-done"));
  location.assign(wanted() ?? home[answer.may]);
}

// A path of this page and nothing else: an address that was sent may say anything.
function wanted() {
  const to = asked.get("to");
  if (!to) return null;
  const url = new URL(to, location.href);
  return url.origin === location.origin ? url.pathname : null;
}

/** @param {string} why */
function refuse(why) {
  say(byId("refused"), why);
  show(byId("refused"), why !== "");
}
