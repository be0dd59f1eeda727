// All services, the newest first, and what becomes of them over the weeks.

import { byId, make, say, show } from "../dom.js";
import { count } from "../words.js";
import { renewIfChanged } from "../renew.js";
import { get, post, Trouble } from "./ask.js";
import { practise } from "./practise.js";
import { date, hour, length, lengthOf, shortDate, title } from "./said.js";
import { trends } from "./trends.js";

/** @typedef {import("../frames.js").Service} Service */

const every = 10000; // ms, while a service goes on or Pawl is out of reach

let known = false;
let goesOn = false;

/** @param {Service[]} services */
function draw(services) {
  known = true;
  goesOn = services.some((s) => s.goes_on);
  show(byId("old"), false);
  const houses = new Set(services.map((s) => s.house));
  say(byId("house-heading"), houses.size === 1 ? "at " + services[0].house : "");
  say(byId("state"), services.length === 0
    ? "No service is recorded yet. One begins by itself when music or speech follows a minute of quiet, and ends after a quarter of an hour of nothing."
    : "");
  show(byId("state"), services.length === 0);
  show(byId("services"), services.length > 0);
  byId("service-list").replaceChildren(...services.map(item));
  show(byId("by-hand"), true);
  say(byId("by-hand-lead"), goesOn
    ? "A service goes on. It ends by itself after a quarter of an hour of nothing."
    : "A service begins by itself, with the first sound or move after a minute of quiet.");
  say(byId("by-hand-press"), goesOn ? "End it now" : "Begin one now");
}

/** @param {Service} service */
function item(service) {
  const li = make("li", "service");
  const link = /** @type {HTMLAnchorElement} */ (make("a", "", title(service)));
  link.href = `/review/${service.id}`;
  const heading = make("h3");
  heading.append(link);
  const when = [service.name ? date(service) + ", " : "", `${hour(service)}–${service.goes_on ? "goes on" : hour(service, lengthOf(service))}`].join("");
  const facts = make("p", "facts");
  const fact = (/** @type {string} */ text, /** @type {boolean} */ strong) => facts.append(make(strong ? "b" : "span", "", text));
  fact(service.shown ? count(service.shown, "thing") + " shown" : "nothing shown", service.shown > 0);
  fact(service.ratchets ? `went up in turns ${service.ratchets === 1 ? "once" : service.ratchets + " times"}` : "never went up in turns", service.ratchets > 0);
  fact(count(service.moves, "move"), false);
  if (service.lost) fact(`${count(service.lost, "entry", "entries")} lost`, true);
  li.append(heading, make("p", "when", `${when} · ${length(lengthOf(service))}${service.mixing ? " · mixing: " + service.mixing : ""}`), facts);
  return li;
}

/** @param {unknown} why */
function trouble(why) {
  const text = why instanceof Trouble ? why.message : String(why);
  if (!known) {
    say(byId("state"), text);
    return;
  }
  show(byId("old"), true);
  say(byId("old"), `${text} What you see is what was there. Trying again by itself.`);
}

/**
 * What the services came to takes longer than to list them, so it comes when it comes.
 * @param {Service[]} services
 */
async function weeks(services) {
  if (services.length === 0) return;
  try {
    /** @type {import("../frames.js").Weeks} */
    const found = await get("weeks");
    trends(found);
    practise("practise", found.practise, (moment) => {
      const link = /** @type {HTMLAnchorElement} */ (make("a", "moment", titleOf(services, moment)));
      link.href = `/review/${moment.service}?from=${Math.max(0, Math.round(moment.t - 90))}&until=${Math.round(moment.t + 90)}`;
      return link;
    });
  } catch (why) {
    trouble(why);
  }
}

/**
 * @param {Service[]} services
 * @param {import("../frames.js").ReviewMoment} moment
 */
function titleOf(services, moment) {
  const service = services.find((s) => s.id === moment.service);
  return service ? `${shortDate(service)}, ${hour(service, moment.t)}` : moment.title;
}

async function load() {
  let again = true;
  try {
    /** @type {import("../frames.js").ReviewList} */
    const list = await get("services");
    renewIfChanged(list.page);
    draw(list.services);
    again = goesOn;
    weeks(list.services);
  } catch (why) {
    trouble(why);
    again = !(why instanceof Trouble && why.reached);
  }
  if (again) setTimeout(load, every);
}

byId("by-hand-press").onclick = async () => {
  const refused = byId("by-hand-refused");
  show(refused, false);
  try {
    await post("services", { do: goesOn ? "end" : "begin" });
    say(byId("announce"), goesOn ? "Ended." : "Begun.");
    await load();
  } catch (why) {
    show(refused, true);
    say(refused, `That did not go through. ${why instanceof Error ? why.message : ""}`);
  }
};
addEventListener("online", load);
load();
