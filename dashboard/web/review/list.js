// All services, the newest first, and what becomes of them over the weeks.

import { byId, make, say, show } from "../dom.js";
import { label } from "../labels.js";
import { language } from "../parts/language.js";
import { counted } from "../words.js";
import { renewIfChanged } from "../renew.js";
import { get, post, Trouble } from "./ask.js";
import { practise } from "./practise.js";
import { hour, shortDate, title, whenOf } from "./said.js";
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
  say(byId("house-heading"), houses.size === 1 ? label("at-house", { house: services[0].house }) : "");
  say(byId("state"), services.length === 0 ? label("no-service-yet") : "");
  show(byId("state"), services.length === 0);
  show(byId("services"), services.length > 0);
  byId("service-list").replaceChildren(...services.map(item));
  show(byId("by-hand"), true);
  say(byId("by-hand-lead"), label(goesOn ? "ends-by-itself" : "begins-by-itself"));
  say(byId("by-hand-press"), label(goesOn ? "end-now" : "begin-now"));
}

/** @param {Service} service */
function item(service) {
  const li = make("li", "service");
  const link = /** @type {HTMLAnchorElement} */ (make("a", "", title(service)));
  link.href = `/review/${service.id}`;
  const heading = make("h3");
  heading.append(link);
  const facts = make("p", "facts");
  const fact = (/** @type {string} */ text, /** @type {boolean} */ strong) => facts.append(make(strong ? "b" : "span", "", text));
  fact(service.shown ? counted("things-shown", service.shown) : label("nothing-shown"), service.shown > 0);
  fact(service.ratchets ? counted("ratchets", service.ratchets) : label("ratchets-none"), service.ratchets > 0);
  fact(counted("count-moves", service.moves), false);
  if (service.lost) fact(counted("entries-lost", service.lost), true);
  li.append(heading, make("p", "when", whenOf(service).join(" · ")), facts);
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
  say(byId("old"), `${text} ${label("what-was-there")}`);
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
    say(byId("announce"), label(goesOn ? "ended" : "begun"));
    await load();
  } catch (why) {
    show(refused, true);
    say(refused, label("not-through", { why: why instanceof Error ? why.message : "" }));
  }
};
language();
addEventListener("online", load);
load();
