/** Where art lies on the board, and how far it may go before the bleed is bare. */

import { degreesOf, mmOf } from "./units.js";

/** @typedef {import("./types.js").Point} Point */
/** @typedef {import("./types.js").Table} Table */

/**
 * Art on the board: its middle, its size, and which way its pixel rows and columns run.
 * @typedef {object} Placed
 * @property {Point} middle  board mm
 * @property {Point} from  the middle of the printed bounds, from which offsets count
 * @property {number} scale  mm a pixel
 * @property {[number, number]} px
 * @property {Point} u  along its rows, length 1
 * @property {Point} v  down its columns, length 1
 */

/**
 * Lay art as the job's table says; the same rules as the server's.
 * @param {Table} table
 * @param {[number, number]} px
 * @param {readonly number[]} bounds  of the printed area
 * @returns {Placed}
 */
export function placedBy(table, px, bounds) {
  const turn = degreesOf(table.turn);
  const quarter = (((turn % 360) + 360) % 360) / 90;
  const exact = Number.isInteger(quarter);
  const cos = exact ? [1, 0, -1, 0][quarter] : Math.cos(turn * Math.PI / 180);
  const sin = exact ? [0, 1, 0, -1][quarter] : Math.sin(turn * Math.PI / 180);
  const [long, wide] = [bounds[2] - bounds[0], bounds[3] - bounds[1]];
  const [ac, as] = [Math.abs(cos), Math.abs(sin)];
  let scale;
  if (table.place === "scale") {
    scale = table.width !== undefined ? mmOf(table.width) / px[0]
      : 25.4 / parseFloat(String(table.resolution));
  } else if (table.place === "fit") {
    scale = Math.min(long / (px[0] * as + px[1] * ac), wide / (px[0] * ac + px[1] * as));
  } else {
    scale = Math.max((long * as + wide * ac) / px[0], (long * ac + wide * as) / px[1]);
  }
  const along = table.flip === "along" ? -1 : 1;
  const across = table.flip === "across" ? -1 : 1;
  /** @type {Point} */
  const from = [(bounds[0] + bounds[2]) / 2, (bounds[1] + bounds[3]) / 2];
  return {
    from, scale, px,
    middle: [from[0] + mmOf(table.offset_along, 0), from[1] + mmOf(table.offset_across, 0)],
    u: [along * sin, across * -cos], v: [along * -cos, across * -sin],
  };
}

/**
 * What is kept of a picture, in its own pixels; the same rules as the server's.
 * @param {Table} table
 * @param {readonly number[]} whole  its size
 */
export function keptOf(table, [w, h]) {
  const cut = (/** @type {string} */ side, /** @type {number} */ long) => Math.floor(
    long * (parseFloat(table[`crop_${side}`]) || 0) / 100 + 0.5);
  const [x, y] = [cut("left", w), cut("top", h)];
  return { x, y, w: w - cut("right", w) - x, h: h - cut("bottom", h) - y };
}

/** From art px to board mm, as canvas takes it. @param {Placed} placed */
export function matrixOf({ middle, scale, px, u, v }) {
  const [xu, yu, xv, yv] = [u[0] * scale, u[1] * scale, v[0] * scale, v[1] * scale];
  return [xu, yu, xv, yv, middle[0] - (xu * px[0] + xv * px[1]) / 2,
    middle[1] - (yu * px[0] + yv * px[1]) / 2];
}

/** The art's four corners on the board. @param {Placed} placed @returns {Point[]} */
export function cornersOf(placed) {
  const [a, b, c, d, e, f] = matrixOf(placed);
  const [w, h] = placed.px;
  return [[0, 0], [w, 0], [w, h], [0, h]].map(([u, v]) => [a * u + c * v + e, b * u + d * v + f]);
}

/**
 * How far the art may move along its own sides, and how small it may be, before it no longer
 * covers the board's bleed.
 * @param {Placed} placed
 * @param {Point[]} hull  of the printed area
 * @param {number} fill  how far its edge pixels are repeated (mm)
 */
export function rangeOf(placed, hull, fill) {
  const along = reach(hull, placed.middle, placed.u);
  const across = reach(hull, placed.middle, placed.v);
  const halfU = placed.px[0] * placed.scale / 2 + fill;
  const halfV = placed.px[1] * placed.scale / 2 + fill;
  return {
    u: /** @type {[number, number]} */ ([along[1] - halfU, along[0] + halfU]),
    v: /** @type {[number, number]} */ ([across[1] - halfV, across[0] + halfV]),
    /** the least factor of its size that still covers, its middle where it is */
    least: Math.max(
      (Math.max(-along[0], along[1]) - fill) / (halfU - fill),
      (Math.max(-across[0], across[1]) - fill) / (halfV - fill)),
  };
}

/** Whether the art covers the bleed. @param {ReturnType<typeof rangeOf>} range */
export function covers(range) {
  const near = 0.005;
  return range.u[0] <= near && range.u[1] >= -near && range.v[0] <= near && range.v[1] >= -near;
}

/** @param {Point[]} hull @param {Point} middle @param {Point} way @returns {[number, number]} */
function reach(hull, middle, way) {
  let least = Infinity;
  let most = -Infinity;
  for (const [x, y] of hull) {
    const at = (x - middle[0]) * way[0] + (y - middle[1]) * way[1];
    least = Math.min(least, at);
    most = Math.max(most, at);
  }
  return [least, most];
}

/**
 * A step that stops softly where the bleed would be bare: within `give` beyond the end of the
 * range it stays at the end, further on it follows the hand.
 * @param {Placed} start  where the hand took it
 * @param {Point} step
 * @param {Point[]} hull
 * @param {number} fill
 * @param {number} give  mm
 * @returns {Point}
 */
export function softly(start, step, hull, fill, give) {
  const range = rangeOf(start, hull, fill);
  const parts = [[start.u, range.u], [start.v, range.v]].map(([way, ends]) => {
    const wanted = step[0] * way[0] + step[1] * way[1];
    const [low, high] = ends;
    if (low > 0.005 || high < -0.005) return wanted; // it did not cover to begin with
    if (wanted > high && wanted < high + give) return Math.max(high, 0);
    if (wanted < low && wanted > low - give) return Math.min(low, 0);
    return wanted;
  });
  return [parts[0] * start.u[0] + parts[1] * start.v[0],
    parts[0] * start.u[1] + parts[1] * start.v[1]];
}
