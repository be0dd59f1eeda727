// What became of each figure over the weeks, as small lines. They say on how many
// services they rest, and rank nobody.

import { byId, make, say, show } from "../dom.js";
import { label } from "../labels.js";
import { counted } from "../words.js";
import { board } from "./board.js";

/** @typedef {import("../frames.js").ReviewTrend} Trend */

const few = 3; // values, for a line that is worth looking at
const first = 3; // lines that are shown before somebody asks for more

let all = false;

/** @param {import("../frames.js").Weeks} weeks */
export function trends(weeks) {
  const lines = weeks.trends.filter((t) => t.rests_on >= few);
  show(byId("trends"), lines.length > 0);
  say(byId("trends-lead"), counted("trends-of", weeks.services));
  byId("trend-lines").replaceChildren(...(all ? lines : lines.slice(0, first)).map(line));
  const more = byId("trends-more");
  show(more, lines.length > first);
  say(more, all ? label("show-fewer") : counted("show-figures", lines.length - first));
  more.ariaExpanded = String(all);
  more.onclick = () => {
    all = !all;
    trends(weeks);
  };
}

/** @param {Trend} trend */
function line(trend) {
  const place = make("figure", "trend");
  const caption = make("figcaption");
  caption.append(make("b", "", trend.title), make("span", "", trend.means));
  const last = trend.points.findLast((p) => p.value !== null);
  place.append(caption, spark(trend.points.map((p) => p.value)));
  if (last) place.append(make("p", "", label("trend-last", { last: last.text, rests: trend.text })));
  return place;
}

/** @param {(number|null)[]} values null where a service has none */
function spark(values) {
  const place = make("div", "spark");
  const style = getComputedStyle(document.documentElement);
  const again = board(place, (g, width, height) => {
    const most = Math.max(...values.map((v) => v ?? 0), 0.001);
    const x = (/** @type {number} */ i) => 6 + (i / Math.max(values.length - 1, 1)) * (width - 12);
    const y = (/** @type {number} */ v) => height - 8 - (v / most) * (height - 16);
    g.fillStyle = style.getPropertyValue("--edge");
    g.fillRect(0, Math.round(y(0)), width, 1);
    g.strokeStyle = style.getPropertyValue("--soft");
    g.fillStyle = style.getPropertyValue("--text");
    g.lineWidth = 2;
    g.beginPath();
    values.forEach((v, i) => v !== null && g.lineTo(x(i), y(v)));
    g.stroke();
    const last = values.findLastIndex((v) => v !== null);
    values.forEach((v, i) => {
      if (v === null) return;
      g.beginPath();
      g.arc(x(i), y(v), i === last ? 5 : 2.5, 0, 7);
      g.fill();
    });
  });
  new ResizeObserver(again).observe(place);
  return place;
}
