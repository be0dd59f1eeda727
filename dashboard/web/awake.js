// Keeps the tablet from sleeping while someone watches. Browsers only allow it
// on a page they call secure, so where it is refused the page says so.

const again = 1000; // ms after it was lost, so that a system that takes it back is not begged

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
      lock.addEventListener("release", lost);
    } catch {
      lock = null; // low battery, or not allowed here
    }
    changed();
  }

  // A hidden page loses it, and asks when it is seen again.
  function lost() {
    changed();
    setTimeout(take, again);
  }

  document.addEventListener("visibilitychange", take);
  take();
  return () => lock !== null && !lock.released;
}
