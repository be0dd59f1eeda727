// What was just pressed on this page and can be taken back: the newest, for as long as it
// takes to notice a stray touch.

const lasts = 5000; // ms

/**
 * `said` tells what was done, `take` is what the button is called that undoes it.
 * @typedef {{said: string, take: string, undo: () => void}} Regret
 * @typedef {{offer: (r: Regret) => void, now: () => Regret|null, take: () => void}} Regrets
 */

/**
 * @param {() => void} changed
 * @returns {Regrets}
 */
export function newRegrets(changed) {
  /** @type {Regret|null} */
  let latest = null;
  let until = 0;
  return {
    offer(regret) {
      latest = regret;
      // Not by the time of day, which somebody may set meanwhile.
      until = performance.now() + lasts;
      setTimeout(changed, lasts);
      changed();
    },
    now: () => (performance.now() < until ? latest : null),
    take() {
      const regret = this.now();
      latest = null;
      regret?.undo();
      changed();
    },
  };
}
