// How large the page stands: 1 on a tablet, more on a wall, where the sheet makes all of it
// larger by its root's size of type, less on the coach's page, whose type is smaller. A
// canvas has to ask.

const tablet = 20; // px of type

const measure = () => Number(getComputedStyle(document.body).fontSize.slice(0, -"px".length)) / tablet;
let is = measure();
addEventListener("resize", () => (is = measure()));

/** CSS pixels to what is one on a tablet. */
export const unit = () => is;
