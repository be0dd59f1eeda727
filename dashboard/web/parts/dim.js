// Three steps of light, kept by this tablet.

import { byId } from "../dom.js";

const key = "dim";
const steps = 3;

/** @returns {() => void} */
export function dim() {
  let step = Number(localStorage.getItem(key)) % steps || 0;
  const set = () => (document.documentElement.dataset.dim = String(step));
  byId("dim").onclick = () => {
    step = (step + 1) % steps;
    localStorage.setItem(key, String(step));
    set();
  };
  set();
  return () => {};
}
