// One service as a timeline, and another beside it. One state in, one render out: all
// that changes what is in sight ends in draw, which runs at most once a frame.

import { byId, make, say, show } from "../dom.js";
import { label } from "../labels.js";
import { language } from "../parts/language.js";
import { called, counted, said } from "../words.js";
import { renewIfChanged } from "../renew.js";
import { push, read, replace } from "./address.js";
import { get, post, Trouble } from "./ask.js";
import { band } from "./band.js";
import { change } from "./change.js";
import { compared, figures } from "./figures.js";
import { finding } from "./finding.js";
import { hands } from "./hands.js";
import { notes } from "./notes.js";
import { otherwise } from "./otherwise.js";
import { practise } from "./practise.js";
import { clock, date, length, lineOf, segmentName, title } from "./said.js";
import { Span } from "./span.js";
import { told } from "./told.js";

/** @typedef {import("../frames.js").ReviewOne} One */

const id = Number(location.pathname.split("/").at(-1));
const goesOnEvery = 10000; // ms
const tryAgain = 5000;

/** @type {One|null} */
let one = null;
/** @type {One|null} */
let second = null;
/** @type {ReturnType<typeof band>|null} */
let first = null;
/** @type {ReturnType<typeof band>|null} */
let other = null;
let span = new Span(1);
let opened = 0;
let align = 0; // the segment of this service by which the other is aligned, from 1; 0 for the start
/** @type {number|null} */
let at = null; // the moment pointed at
let held = 0; // the moment that was tapped last, for notes
let waiting = false;

const bands = byId("bands");
const showTold = told({ open });
const showFinding = finding({ close: () => open(0), go: (t) => go(t) });
const showNotes = notes({ go: (t) => go(t), edit });
const showChange = change({ edit });
const showOtherwise = otherwise();
/** @type {import("../frames.js").Service[]} */
let services = [];

/** @returns {import("./address.js").View} */
const view = () => ({ from: span.whole ? null : span.from, until: span.whole ? null : span.until, finding: opened, beside: second?.service.id ?? 0, align });

function draw() {
  if (waiting) return;
  waiting = true;
  requestAnimationFrame(render);
}

function render() {
  waiting = false;
  if (!one || !first) return;
  const look = { span, at: at ?? (held || null), open: opened };
  first.paint(look);
  if (other && second) {
    const by = offset();
    other.paint({ span: { from: span.from + by, until: span.until + by }, at: look.at === null ? null : look.at + by, open: 0 });
  }
  say(byId("in-sight"), `${clock(one.service, span.from)}–${clock(one.service, span.until)}, ${length(span.width)}`);
  say(byId("reading"), look.at === null ? label("point-at") : first.reading(look.at));
}

/** How much later the other service's clock stands, for what is to lie below one another. */
function offset() {
  const mine = one?.timeline.segments[align - 1];
  if (!mine || !second) return 0;
  return (alike(second, mine)?.from ?? 0) - mine.from;
}

/**
 * The segment of another service with the name of this one.
 * @param {One} of
 * @param {import("../frames.js").SegmentSpan} mine
 */
const alike = (of, mine) => of.timeline.segments.find((s) => mine.name !== "" && s.name === mine.name);

/**
 * Opens a finding at its moment; 0 closes the one that is open.
 * @param {number} number
 */
function open(number) {
  const found = one?.timeline.told.find((f) => f.number === number);
  const before = view();
  const was = opened;
  opened = found?.number ?? 0;
  if (found) {
    reveal(found);
    held = found.from;
  }
  push(before, view());
  pages();
  draw();
  if (found) {
    byId("finding").focus({ preventScroll: true });
    byId("finding").scrollIntoView({ block: "nearest" });
  } else {
    /** @type {HTMLElement|null} */ (document.querySelector(`[data-number="${was}"]`))?.focus();
  }
}

/**
 * Shows a finding with what led to it, unless it is in sight as large as that.
 * @param {import("../frames.js").Told} found
 */
function reveal(found) {
  const began = Math.min(found.from, ...found.said.facts.map((f) => f.t));
  const until = Math.max(found.until ?? found.from, found.from + 30);
  const more = Math.max(20, (until - began) / 5);
  span.show(Math.max(began, until - 900) - more, Math.min(until, began + 900) + more);
}

/**
 * Points at a moment, and brings it into sight.
 * @param {number} t
 * @param {number} [most] how wide the view may be at most, to see something there
 */
function go(t, most = Infinity) {
  held = t;
  at = null;
  if (span.width > most) span.show(t - most / 2, t + most / 2);
  else if (t < span.from || t > span.until) span.show(t - span.width / 2, t + span.width / 2);
  pointed();
  draw();
  byId("bands").scrollIntoView({ block: "nearest" });
}

function pointed() {
  showNotes.at(held);
  showChange.at(held);
}

/** Everything but the bands. */
function pages() {
  if (!one) return;
  const { service, timeline } = one;
  document.title = label("title-of", { title: title(service) });
  say(byId("title"), title(service));
  say(byId("line"), lineOf(service));
  const notes = [];
  if (service.goes_on) notes.push(label("it-goes-on"));
  if (service.lost > 0) notes.push(counted("entries-holes", service.lost));
  notes.push(...one.damage);
  if (timeline.gaps.length > 0) notes.push(counted("gaps", timeline.gaps.length));
  say(byId("state"), notes.join(" "));
  show(byId("state"), notes.length > 0);
  show(byId("timeline"), true);
  show(byId("beside-timeline"), true);
  show(byId("reading"), true);
  say(byId("timeline-told"), tellWords(one));
  showTold(one, opened);
  showFinding(timeline.told.find((f) => f.number === opened) ?? null, service);
  document.documentElement.toggleAttribute("data-finding", opened > 0);
  practise("next", one.next, ({ t }) => {
    const button = /** @type {HTMLButtonElement} */ (make("button", "moment", clock(service, t)));
    button.type = "button";
    button.onclick = () => go(t, 240);
    return button;
  });
  figures(one);
  compared(one, second, second ? title(second.service) : "");
  showNotes.draw(one);
  showChange.draw(one);
  showOtherwise(one);
  pointed();
  choices();
}

/**
 * The timeline in sentences.
 * @param {One} of
 */
function tellWords({ service, timeline }) {
  const segments = timeline.segments.map((s) => `${clock(service, s.from)} ${segmentName(s)}`).join(", ");
  const moved = timeline.movers.slice(0, 5).map((m) => `${called(m.who)} ${counted("count-moves", m.steps.length)}`).join(", ");
  const worst = timeline.told.find((f) => f.said.shown);
  const marks = timeline.marks.map((m) => `${clock(service, m.t)} ${m.says}`).join(", ");
  const told = [label("told-segments", { segments })];
  if (marks) told.push(label("told-marks", { marks }));
  told.push(moved ? label("told-moved", { moved }) : label("no-fader-moved"));
  told.push(worst ? label("told-first", { at: clock(service, worst.from), what: said(worst.said).what[0] }) : label("nothing-on-screen"));
  return told.join(" ");
}

const beside = /** @type {HTMLSelectElement} */ (byId("beside"));
const aligned = /** @type {HTMLSelectElement} */ (byId("align"));

/** What can be chosen to stand beside this service, and how it can be aligned. */
function choices() {
  if (!one) return;
  const others = services.filter((s) => s.id !== id);
  show(byId("beside-place"), others.length > 0);
  options(beside, [["0", label("nothing")], ...others.map((s) => /** @type {[string, string]} */ ([String(s.id), title(s)]))], String(second?.service.id ?? 0));
  const both = second;
  const same = both ? one.timeline.segments.flatMap((s, i) => (alike(both, s) ? [/** @type {[string, string]} */ ([String(i + 1), segmentName(s)])] : [])) : [];
  show(byId("align-place"), both !== null);
  options(aligned, [["0", label("the-start")], ...same], String(align));
  show(byId("second-place"), both !== null);
  show(byId("first-title"), both !== null);
  say(byId("first-title"), title(one.service));
  if (both) {
    const link = /** @type {HTMLAnchorElement} */ (byId("second-title"));
    say(link, `${title(both.service)}${both.service.name ? " · " + date(both.service) : ""}${both.service.mixing ? " · " + label("mixing", { who: both.service.mixing }) : ""}`);
    link.href = `/review/${both.service.id}`;
  }
}

/**
 * @param {HTMLSelectElement} select
 * @param {[string, string][]} all
 * @param {string} chosen
 */
function options(select, all, chosen) {
  const key = JSON.stringify(all);
  if (select.dataset.key !== key) {
    select.dataset.key = key;
    select.replaceChildren(...all.map(([value, text]) => {
      const option = /** @type {HTMLOptionElement} */ (make("option", "", text));
      option.value = value;
      return option;
    }));
  }
  if (select.value !== chosen) select.value = chosen;
}

/**
 * Puts another service beside this one, or takes it away with 0.
 * @param {number} which
 */
async function putBeside(which) {
  other = null;
  second = null;
  byId("band-second").replaceChildren();
  if (which && which !== id) {
    try {
      second = await get("services/" + which);
      if (!second) return;
      other = band(byId("band-second"), second, { draw, trouble, open: () => {}, small: true });
      await other.refresh();
    } catch (why) {
      trouble(why);
    }
  }
  first?.small(second !== null);
  pages();
  draw();
}

beside.onchange = async () => {
  const before = view();
  align = 0;
  await putBeside(Number(beside.value));
  push(before, view());
};
aligned.onchange = () => {
  align = Number(aligned.value);
  replace(view);
  draw();
};

/**
 * Asks for a change, and shows the service as it is then.
 * @param {Partial<import("../frames.js").Edit>} asked
 * @param {HTMLElement} refused where to say why not
 */
async function edit(asked, refused) {
  show(refused, false);
  try {
    const number = await post("services/" + id, asked);
    if (asked.do === "delete") location.href = "/review";
    else if (asked.do === "split" || (asked.do === "join" && number !== id)) location.href = "/review/" + number;
    else {
      say(byId("announce"), label("otherwise-done"));
      await load();
    }
    return true;
  } catch (why) {
    show(refused, true);
    say(refused, label("not-through", { why: why instanceof Error ? why.message : "" }));
    return false;
  }
}

/** @param {unknown} why */
function trouble(why) {
  const text = why instanceof Trouble ? why.message : String(why);
  if (one) {
    show(byId("old"), true);
    say(byId("old"), `${text} ${label("what-was-there")}`);
  } else {
    say(byId("state"), text);
  }
}

async function load() {
  const fresh = /** @type {One} */ (await get("services/" + id));
  renewIfChanged(fresh.page);
  one = fresh;
  show(byId("old"), false);
  if (!first) {
    span = new Span(fresh.timeline.length);
    arrive(read());
    span.listeners.push(() => (replace(view), draw()));
    first = band(byId("band"), fresh, { draw, trouble, open });
    hands(bands, span, {
      box: () => /** @type {ReturnType<typeof band>} */ (first).box(),
      tap: (t, x, y, target) => {
        if (first?.tap(x, y, target, span)) return;
        held = t;
        pointed();
        draw();
      },
      hover: (t) => {
        at = t;
        draw();
      },
    });
  } else {
    span.grow(fresh.timeline.length);
    first.take(fresh);
  }
  pages();
  await first.refresh();
}

/**
 * Shows the part and the finding that an address names.
 * @param {import("./address.js").View} asked
 */
function arrive(asked) {
  align = asked.align;
  const found = one?.timeline.told.find((f) => f.number === asked.finding);
  opened = found?.number ?? 0;
  if (asked.from !== null && asked.until !== null) span.show(asked.from, asked.until);
  else if (found) reveal(found);
  else span.show(0, span.length);
  if (found) held = found.from;
}

/** Brings what the address says into sight. */
async function follow() {
  const asked = read();
  arrive(asked);
  if (asked.beside !== (second?.service.id ?? 0)) await putBeside(asked.beside);
  pages();
  draw();
}

async function begin() {
  try {
    await load();
    await putBeside(read().beside); // the span is its reader's by now, and may have been moved
    services = (await get("services")).services;
    choices();
  } catch (why) {
    trouble(why);
    if (why instanceof Trouble && why.reached) return; // it will not be otherwise in a moment
  }
  setTimeout(keepUp, goesOnEvery);
}

/** Asks again: for what is new of a service that goes on, and while Pawl is out of reach. */
async function keepUp() {
  let wait = goesOnEvery;
  if (!one || one.service.goes_on || !byId("old").hidden) {
    try {
      if (one) await load();
      else return begin();
    } catch (why) {
      trouble(why);
      wait = tryAgain;
    }
  }
  setTimeout(keepUp, wait);
}

byId("zoom-in").onclick = () => span.zoom(0.5, middle());
byId("zoom-out").onclick = () => span.zoom(2, middle());
byId("earlier").onclick = () => span.pan(-span.width / 2);
byId("later").onclick = () => span.pan(span.width / 2);
byId("whole").onclick = () => span.show(0, span.length);
/** The moment pointed at stays where it is, if it is in sight. */
const middle = () => (held > span.from && held < span.until ? held : (span.from + span.until) / 2);
addEventListener("popstate", follow);
addEventListener("online", () => !byId("old").hidden && load().catch(trouble));
addEventListener("keydown", (e) => e.key === "Escape" && opened > 0 && open(0));
language();
begin();
