// Some browsers on small boxes give a language that is none, such as "C", and the chart
// library asks how numbers are written in it before it draws anything. This is imported
// before that library, and gives the page's own language instead.

try {
  new Intl.NumberFormat(navigator.language);
} catch {
  Object.defineProperty(navigator, "language", { value: document.documentElement.lang || "en", configurable: true });
}
