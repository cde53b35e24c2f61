/** The course of a line through points, as the server draws it. */

/** @typedef {import("./types.js").Point} Point */

/**
 * @param {Point[]} points
 * @param {boolean} smooth
 * @returns {Path2D}
 */
export function courseOf(points, smooth) {
  return new Path2D(courseTold(points, smooth));
}

/**
 * The course as an SVG path: straight pieces, or a centripetal Catmull-Rom spline.
 * @param {Point[]} points
 * @param {boolean} smooth
 */
export function courseTold(points, smooth) {
  const corners = points.filter((p, n) => !n || p[0] !== points[n - 1][0]
    || p[1] !== points[n - 1][1]);
  if (!corners.length) return "";
  const told = (/** @type {number[]} */ p) => p.map((part) => part.toFixed(3)).join(" ");
  const start = `M${told(corners[0])}`;
  if (!smooth || corners.length < 3) {
    return start + corners.slice(1).map((p) => `L${told(p)}`).join("");
  }
  const ends = [beyond(corners[1], corners[0]), ...corners,
    beyond(corners[corners.length - 2], corners[corners.length - 1])];
  const steps = ends.slice(1).map((p, n) => Math.sqrt(
    Math.hypot(p[0] - ends[n][0], p[1] - ends[n][1])));
  let path = start;
  for (let n = 0; n < corners.length - 1; n++) {
    const [before, from, to, after] = ends.slice(n, n + 4);
    const [d1, d2, d3] = steps.slice(n, n + 3);
    const leaving = from.map((_, k) => (d1 * d1 * to[k] - d2 * d2 * before[k]
      + (2 * d1 * d1 + 3 * d1 * d2 + d2 * d2) * from[k]) / (3 * d1 * (d1 + d2)));
    const coming = to.map((_, k) => (d3 * d3 * from[k] - d2 * d2 * after[k]
      + (2 * d3 * d3 + 3 * d3 * d2 + d2 * d2) * to[k]) / (3 * d3 * (d3 + d2)));
    path += `C${told(leaving)} ${told(coming)} ${told(to)}`;
  }
  return path;
}

/** @param {Point} from @param {Point} end @returns {Point} */
const beyond = (from, end) => [2 * end[0] - from[0], 2 * end[1] - from[1]];
