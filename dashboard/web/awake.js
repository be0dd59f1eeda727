// Keeps the tablet from sleeping while someone watches. Browsers only allow it
// on a page they call secure, so where it is refused the page says so.

/**
 * @param {() => void} changed
 * @returns {() => boolean} whether the screen is held awake
 */
export function keepAwake(changed) {
  /** @type {WakeLockSentinel|null} */
  let lock = null;

  async function take() {
    if (document.hidden || (lock && !lock.released) || !("wakeLock" in navigator)) return;
    try {
      lock = await navigator.wakeLock.request("screen");
      lock.addEventListener("release", changed);
    } catch {
      lock = null; // low battery, or not allowed here
    }
    changed();
  }

  document.addEventListener("visibilitychange", take);
  take();
  return () => lock !== null && !lock.released;
}
