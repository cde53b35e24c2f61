/** What moving, scaling and turning do to a thing's table; lengths stay in the job's own units. */

import { view } from "./bench.js";
import { artPlaced, nameOf, SIDES } from "./outlines.js";
import { placesOf } from "./paint.js";
import { keptOf, rangeOf, softly } from "./placing.js";
import { keyOf, known, tableOf, tell } from "./store.js";
import { degreesOf, lengthIn, mmOf, told, unitOf } from "./units.js";

/** @typedef {import("./types.js").Point} Point */
/** @typedef {import("./types.js").Thing} Thing */
/** @typedef {import("./types.js").Table} Table */
/** @typedef {{thing: Thing, part: string, n?: number}} Grip */

/** What a crop leaves at least (px). */
const LEAST_PX = 8;

/** The unit that a new length of this job is written in. */
export function jobUnit() {
  const unit = unitOf(known.job?.document.board?.length, "mm");
  return unit === "in" || unit === '"' ? unit : "mm";
}

/** @param {unknown} written @param {number} mm */
const likewise = (written, mm) => lengthIn(mm, unitOf(written, jobUnit()));

/** @param {any} pair @param {Point} mm */
const pairLike = (pair, mm) => [likewise(pair?.[0], mm[0]), likewise(pair?.[1], mm[1])];

/** Show a thing with another table from now on. @param {Thing} thing @param {Table} table */
export function show(thing, table) {
  known.live.set(keyOf(thing), table);
  tell("live");
}

/**
 * A thing, or a part of it, moved from where the hand took it.
 * @param {Grip} grip
 * @param {Table} start
 * @param {Point} step  mm
 * @param {number} give  mm within which it stops softly; 0 for not at all
 * @returns {Table}
 */
export function moved({ thing, part, n }, start, step, give) {
  if (thing.table === "art" && part === "side") return cropped(thing, start, SIDES[n ?? 0], step);
  if (thing.table === "art") return artMoved(thing, start, step, give);
  if (thing.table === "track") return start;
  if (thing.table === "line") {
    const points = start.points.map((/** @type {any} */ p, /** @type {number} */ at) =>
      part === "all" || at === n
        ? pairLike(p, [mmOf(p[0]) + step[0], mmOf(p[1]) + step[1]]) : p);
    return { ...start, points };
  }
  const { at, label } = placesOf(start);
  /** @type {Point} */
  const point = [at[0] + step[0], at[1] + step[1]];
  if (part === "all") {
    return { ...start, at: pairLike(start.at, point),
      ...(start.label_at ? { label_at: pairLike(start.label_at,
        [label[0] + step[0], label[1] + step[1]]) } : {}) };
  }
  if (part === "point") {
    if (start.label_at) return { ...start, at: pairLike(start.at, point) };
    // The lettering stays where it is: its distance from the point changes.
    return { ...start, at: pairLike(start.at, point), label_offset: pairLike(start.label_offset,
      [label[0] - point[0], label[1] - point[1]]) };
  }
  /** @type {Point} */
  const words = [label[0] + step[0], label[1] + step[1]];
  return start.label_at ? { ...start, label_at: pairLike(start.label_at, words) }
    : { ...start, label_offset: pairLike(start.label_offset,
      [words[0] - at[0], words[1] - at[1]]) };
}

/** @param {Thing} thing @param {Table} start @param {Point} step @param {number} give
 * @returns {Table} */
function artMoved(thing, start, step, give) {
  const hull = known.job?.scene.board?.hull;
  const art = known.job?.scene.art.find((one) => one.order === thing.at);
  let way = step;
  if (give > 0 && hull && art?.kind === "photo") {
    const placed = placedOf(thing, start);
    if (placed) way = softly(placed, step, hull, art.fill, give);
  }
  return { ...start, ...offsetBy(start, way) };
}

/** Where art lies that was moved by a step, in its own units. @param {Table} start
 * @param {Point} way */
function offsetBy(start, way) {
  /** @type {Table} */
  const offsets = {};
  for (const [k, key] of [[0, "offset_along"], [1, "offset_across"]]) {
    const mm = mmOf(start[key], 0) + way[/** @type {0} */ (k)];
    if (Math.abs(way[/** @type {0} */ (k)]) >= 0.005) {
      offsets[key] = likewise(start[key], Math.round(mm * 100) / 100);
    }
  }
  return offsets;
}

/**
 * A side of a picture moved: what lies beyond it is cut off, and the rest stays where it is.
 * @param {Thing} thing @param {Table} start @param {string} side @param {Point} step  mm
 * @returns {Table}
 */
function cropped(thing, start, side, step) {
  const art = known.job?.scene.art.find((one) => one.order === thing.at);
  const placed = placedOf(thing, start);
  if (!art || !placed) return start;
  const { scale, u, v } = placed;
  const was = keptOf(start, art.whole);
  const across = side === "left" || side === "right";
  const [long, kept] = across ? [art.whole[0], was.w] : [art.whole[1], was.h];
  const way = across ? u : v;
  const inwards = (step[0] * way[0] + step[1] * way[1]) / scale
    * (side === "left" || side === "top" ? 1 : -1);
  const before = { left: was.x, top: was.y, right: art.whole[0] - was.x - was.w,
    bottom: art.whole[1] - was.y - was.h }[side] ?? 0;
  const cut = Math.min(Math.max(before + inwards, 0), before + kept - LEAST_PX);
  const table = /** @type {Table} */ ({ ...start, place: "scale" });
  const share = Math.round(cut / long * 1e5) / 1e3;
  if (share > 0) table[`crop_${side}`] = `${share} %`;
  else delete table[`crop_${side}`];
  const now = keptOf(table, art.whole);
  if (start.place !== "scale" || start.resolution === undefined) {
    delete table.resolution;
    table.width = likewise(start.width, now.w * scale);
  }
  const [right, down] = [now.x + now.w / 2 - was.x - was.w / 2, now.y + now.h / 2 - was.y
    - was.h / 2].map((px) => px * scale);
  return { ...table, ...offsetBy(start, [right * u[0] + down * v[0], right * u[1] + down * v[1]]) };
}

/** @param {Thing} thing @param {Table} table */
function placedOf(thing, table) {
  const had = known.live.get(keyOf(thing));
  known.live.set(keyOf(thing), table);
  const placed = artPlaced(thing);
  if (had) known.live.set(keyOf(thing), had);
  else known.live.delete(keyOf(thing));
  return placed;
}

/**
 * Art made larger or smaller about its middle; it stops softly where it would no longer cover.
 * @param {Thing} thing @param {Table} start @param {number} factor @param {boolean} soft
 * @returns {Table}
 */
export function scaled(thing, start, factor, soft) {
  if (thing.table === "note") {
    const key = start.type_size !== undefined ? "type_size" : "cap_height";
    const mm = Math.min(Math.max(mmOf(start[key], 3) * factor, 0.3), 200);
    return { ...start, [key]: likewise(start[key], Math.round(mm * 100) / 100) };
  }
  if (thing.table === "line" || thing.table === "track") {
    const mm = Math.min(Math.max(mmOf(start.width, thing.table === "line" ? 0.4 : 0.6) * factor, 0.02), 20);
    return { ...start, width: likewise(start.width, Math.round(mm * 100) / 100) };
  }
  const placed = placedOf(thing, start);
  const scene = known.job?.scene;
  if (!placed || !scene?.board) return start;
  let by = factor;
  const art = scene.art.find((one) => one.order === thing.at);
  if (soft && art?.kind === "photo") {
    const { least } = rangeOf(placed, scene.board.hull, art.fill);
    if (least <= 1.0005 && by < least && by > least * 0.985) by = least;
  }
  const width = Math.min(Math.max(placed.px[0] * placed.scale * by, 1), 6000);
  const table = /** @type {Table} */ ({ ...start, place: "scale" });
  if (start.resolution !== undefined && start.place === "scale") {
    const ppi = 25.4 / (width / placed.px[0]);
    table.resolution = `${Math.round(ppi * 100) / 100} ppi`;
  } else {
    delete table.resolution;
    table.width = likewise(start.width, width);
  }
  return table;
}

/**
 * Art or a note turned; near a quarter it stays there.
 * @param {Thing} thing @param {Table} start @param {number} by  degrees anticlockwise
 * @param {boolean} soft
 * @returns {Table}
 */
export function turned(thing, start, by, soft) {
  if (thing.table === "track") return start;
  const plain = thing.table === "note" ? 90 : 0;
  // A mirror image is made after the turn: seen in it, a turn goes the other way.
  const way = start.flip === "along" || start.flip === "across" ? -by : by;
  const was = start.turn === undefined ? plain : degreesOf(start.turn);
  let turn = ((was + way + 180) % 360 + 360) % 360 - 180;
  const quarter = Math.round(turn / 90) * 90;
  if (soft && Math.abs(turn - quarter) < 1.2) turn = quarter;
  return { ...start, turn: Math.round(turn * 100) / 100 };
}

/** Where a thing is, in words, while it moves. @param {Thing} thing */
export function whereTold(thing) {
  const table = tableOf(thing);
  if (thing.table === "track") {
    return `The ${nameOf(thing)} lies where the camera saw it: ${table.width ?? "0.6 mm"} wide.`;
  }
  if (thing.table !== "art") {
    const [x, y] = thing.table === "note" ? placesOf(table).at
      : [mmOf(table.points[0][0]), mmOf(table.points[0][1])];
    return `The ${nameOf(thing)}: ${ways([x, y])} the middle.`;
  }
  const placed = artPlaced(thing);
  const board = known.job?.scene.board;
  const art = known.job?.scene.art.find((one) => one.order === thing.at);
  if (!placed || !board) return "";
  const off = ways([mmOf(table.offset_along, 0), mmOf(table.offset_across, 0)]);
  const size = art ? ` ${Math.round(25.4 / placed.scale)} of its pixels to the inch.` : "";
  return `The ${nameOf(thing)}: ${off} the middle.${size}`;
}

/** A place in words. @param {Point} mm */
export function ways([x, y]) {
  const along = `${told(Math.abs(x))} towards the ${x < 0 ? "tail" : "nose"}`;
  const seen = { up: "", right: y < 0 ? " (here below)" : " (here above)",
    left: y < 0 ? " (here above)" : " (here below)" }[view.nose];
  const across = `${told(Math.abs(y))} to the ${y < 0 ? "right" : "left"}${seen}`;
  return `${along}, ${across} of`;
}
