// Ten minutes of tide and steps, as the frames bring them.

const kept = 600; // seconds

/** @returns {{tide: import("./types.js").Tide[], steps: import("./types.js").Step[], take: (f: import("./types.js").Frame) => void}} */
export function newMemory() {
  return {
    tide: [],
    steps: [],
    take(frame) {
      const oldest = frame.state.t - kept;
      const whole = frame.frame === "whole";
      this.tide = recent(whole ? [] : this.tide, frame.tide, oldest);
      this.steps = recent(whole ? [] : this.steps, frame.steps, oldest);
    },
  };
}

/**
 * The same list again when nothing is new, so that a part can tell.
 * @template {{t: number}} T
 * @param {T[]} had
 * @param {T[]} fresh
 * @param {number} oldest
 */
function recent(had, fresh, oldest) {
  if (fresh.length === 0 && (had.length === 0 || had[0].t >= oldest)) return had;
  return had.concat(fresh).filter((one) => one.t >= oldest);
}
