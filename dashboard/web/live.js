// The one connection to the daemon. It comes back by itself: after sleep, after
// lost Wi-Fi, after a restart of the daemon.

import { ask } from "./language.js";

const firstWait = 500; // ms before the second try; doubles
const longestWait = 5000;
const silence = 3000; // ms without a frame before what is shown counts as old
const deaf = 8000; // ms without a frame before the connection is given up

/**
 * @param {{frame: (frame: any) => void, contact: () => void}} hear contact is told
 *   once a second while frames are missing, and at each loss
 * @param {string} [as] what this page is, if not the operator's
 */
export function connect(hear, as) {
  const address = (location.protocol === "https:" ? "wss://" : "ws://") + location.host;
  /** @type {WebSocket|null} */
  let socket = null;
  let wait = firstWait;
  /** @type {number|undefined} */
  let retry;
  let last = Date.now();
  let open = false;

  function attempt() {
    clearTimeout(retry);
    retry = undefined;
    const s = new WebSocket(address + ask("/live", as));
    const began = Date.now();
    socket = s;
    s.onmessage = (event) => {
      if (s !== socket) return;
      wait = firstWait;
      open = true;
      last = Date.now();
      hear.frame(JSON.parse(event.data));
    };
    s.onclose = () => {
      if (s === socket) lost(began);
    };
  }

  /** @param {number} began */
  function lost(began) {
    socket = null;
    open = false;
    // A little chance keeps a room of tablets from knocking all at once.
    const pause = wait * (0.75 + Math.random() / 2);
    wait = Math.min(wait * 2, longestWait);
    retry = setTimeout(attempt, Math.max(0, pause - (Date.now() - began)));
    hear.contact();
  }

  // Now is a good moment to try: the tablet woke, or its network came back.
  function hurry() {
    wait = firstWait;
    if (!socket) attempt();
    else if (Date.now() - last > silence) abandon();
  }

  function abandon() {
    const s = socket;
    socket = null;
    open = false;
    s?.close();
    attempt();
  }

  function watch() {
    const quiet = Date.now() - last;
    if (quiet > silence) hear.contact();
    if (quiet > deaf && open) abandon();
  }

  document.addEventListener("visibilitychange", () => document.hidden || hurry());
  addEventListener("online", hurry);
  addEventListener("pageshow", hurry);
  setInterval(watch, 1000);
  attempt();

  return {
    /** Asks for another whole frame, on a new connection. */
    again: abandon,
    /** @returns {import("./types.js").Contact} */
    contact() {
      const since = (Date.now() - last) / 1000;
      return { live: open && since * 1000 < silence, since };
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
