// Three steps of light, kept by this tablet; a step can be taken back.

import { byId } from "../dom.js";
import { label } from "../labels.js";

const key = "dim";
const steps = 3;

/**
 * @param {import("../types.js").Hands} hands
 * @returns {() => void}
 */
export function dim({ regrets }) {
  let step = Number(localStorage.getItem(key)) % steps || 0;
  /** @param {number} next */
  const set = (next) => {
    step = next;
    localStorage.setItem(key, String(step));
    document.documentElement.classList.remove("dim-1", "dim-2");
    if (step > 0) document.documentElement.classList.add("dim-" + step);
  };
  byId("dim").onclick = () => {
    const was = step;
    set((step + 1) % steps);
    regrets.offer({ said: step > was ? label("darker") : label("brightest"), take: label("back"), undo: () => set(was) });
  };
  set(step);
  return () => {};
}
