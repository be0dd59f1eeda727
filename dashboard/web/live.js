// The one connection to the daemon. It comes back by itself: after sleep, after
// lost Wi-Fi, after a restart of the daemon, and never waits longer than 3 s to try again.

import { ask } from "./language.js";
import { needKey, needsKey } from "./needkey.js";

const firstWait = 500; // ms before the second try; doubles
const longestWait = 2400; // with a little chance still under 3 s
const silence = 3000; // ms without news before what is shown counts as old
const patience = 2400; // ms without a frame before another connection is tried
const every = 500; // ms between two looks at how long it has been
const keyGone = 1008; // the close code of a policy (RFC 6455): the key is no longer in force
const asleep = 3000; // ms by which the clocks disagree once the tablet slept, or was set

/**
 * A connection that begins.
 * @param {string} [as] what this page is, if not the operator's
 */
export function reach(as) {
  return new WebSocket((location.protocol === "https:" ? "wss://" : "ws://") + location.host + ask("/live", as));
}

/**
 * @param {{frame: (frame: any) => void, contact: () => void}} hear contact is told
 *   again and again while frames are missing, and at each loss
 * @param {string} [as] what this page is, if not the operator's
 * @param {WebSocket|null} [early] the first connection, if it was begun in the same breath
 */
export function connect(hear, as, early = null) {
  /** @type {WebSocket|null} */
  let socket = null;
  let wait = firstWait;
  /** @type {number|undefined} */
  let retry;
  // Lengths of time are taken by a clock that nobody can set. It may stand still while the
  // tablet sleeps; then the time of day runs ahead of it.
  let news = performance.now(); // when what came last was new
  let heard = news; // when a frame came last, or a try began
  let looked = { running: news, ofDay: Date.now() };
  let sure = true; // how long it has been
  let open = false;
  /** @type {number|undefined} */
  let at; // the daemon's time of what came last

  function attempt() {
    clearTimeout(retry);
    retry = undefined;
    const s = early ?? reach(as);
    early = null;
    const began = performance.now();
    heard = began;
    socket = s;
    s.onmessage = (event) => {
      if (s !== socket) return;
      wait = firstWait;
      open = true;
      heard = performance.now();
      take(JSON.parse(event.data));
    };
    let opened = s.readyState === WebSocket.OPEN;
    s.onopen = () => (opened = true);
    s.onclose = async (/** @type {CloseEvent|undefined} */ event) => {
      if (s === socket) lost(began);
      if (event?.code === keyGone || (!opened && (await needsKey()))) needKey();
    };
  }

  /** @param {any} frame */
  function take(frame) {
    // A daemon that hangs may still give a page that comes what it last knew.
    if (frame.now && frame.now.at !== at) {
      at = frame.now.at;
      news = heard;
      sure = true;
    }
    hear.frame(frame);
  }

  /** @param {number} began */
  function lost(began) {
    socket = null;
    open = false;
    // A little chance keeps a room of tablets from knocking all at once.
    const pause = wait * (0.75 + Math.random() / 2);
    wait = Math.min(wait * 2, longestWait);
    retry = setTimeout(attempt, Math.max(0, pause - (performance.now() - began)));
    hear.contact();
  }

  // Now is a good moment to try: the tablet woke, or its network came back.
  function hurry() {
    wait = firstWait;
    if (!socket) attempt();
    else if (performance.now() - heard > patience / 2) abandon();
  }

  function abandon() {
    const s = socket;
    socket = null;
    open = false;
    s?.close();
    attempt();
  }

  function watch() {
    const running = performance.now();
    const ahead = Date.now() - looked.ofDay - (running - looked.running);
    looked = { running, ofDay: Date.now() };
    if (Math.abs(ahead) > asleep) sure = false;
    if (ahead > asleep) hurry();
    if (socket && running - heard > patience) abandon();
    if (running - news > silence) hear.contact();
  }

  document.addEventListener("visibilitychange", () => document.hidden || hurry());
  document.addEventListener("resume", hurry);
  addEventListener("online", hurry);
  addEventListener("pageshow", hurry);
  setInterval(watch, every);
  attempt();

  return {
    /** Asks for another whole frame, on a new connection. */
    again: abandon,
    /** @returns {import("./types.js").Contact} */
    contact() {
      const ms = performance.now() - news;
      return { live: open && ms < silence, since: sure ? ms / 1000 : null };
    },
    /**
     * @param {import("./frames.js").Press} press
     * @returns {boolean} whether it could be sent at all
     */
    send(press) {
      if (!socket || socket.readyState !== WebSocket.OPEN) return false;
      socket.send(JSON.stringify(press));
      return true;
    },
  };
}
