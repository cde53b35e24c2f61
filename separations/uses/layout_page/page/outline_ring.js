/** A board's outline as a small drawing. */

import { draw } from "./dom.js";

/** @param {[number, number][]} ring */
export function ringDrawn(ring) {
  const xs = ring.map((p) => p[0]);
  const ys = ring.map((p) => -p[1]);
  const [x, y] = [Math.min(...xs), Math.min(...ys)];
  const [w, h] = [Math.max(...xs) - x, Math.max(...ys) - y];
  return draw("svg", { class: "ring", viewBox: `${x - 10} ${y - 10} ${w + 20} ${h + 20}`,
    role: "img", "aria-label": "The outline, nose to the right" }, draw("polygon", {
    points: ring.map((p) => `${p[0]},${-p[1]}`).join(" ") }));
}
