// How large the page stands: 1 on a tablet, more on a wall, where the sheet makes all of it
// larger by its root's size of type. A canvas has to ask.

const measure = () => Number(getComputedStyle(document.documentElement).fontSize.slice(0, -"px".length)) / 16;
let is = measure();
addEventListener("resize", () => (is = measure()));

/** CSS pixels to what is one on a tablet. */
export const unit = () => is;
