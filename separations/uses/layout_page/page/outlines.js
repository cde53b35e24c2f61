/** What is drawn over the picture and can be touched: all that lies on the board, and grips to hold. */

import { draw, fill, give, part } from "./dom.js";
import { placesOf } from "./paint.js";
import { cornersOf, covers, keptOf, placedBy, rangeOf } from "./placing.js";
import { known, same, tableOf } from "./store.js";
import { courseTold } from "./course.js";
import { shownOf } from "./pictures.js";
import { still } from "./still.js";
import { mmOf } from "./units.js";

/** @typedef {import("./types.js").Point} Point */
/** @typedef {import("./types.js").Thing} Thing */
/** @typedef {import("./view.js").View} View */

const over = part("over");
/** What it was laid over the picture for, when it was. @type {unknown[]} */
let laidFor = [];
/** What lies on the board and what is in the hand: drawn anew in each frame. */
const loose = draw("g");

/** A picture's sides in the order of its corners, as it is looked at. */
export const SIDES = ["top", "right", "bottom", "left"];
/** What can be taken hold of, by its element. @type {WeakMap<Element, Grip>} */
export const grips = new WeakMap();
/** @typedef {{thing: Thing, part: string, n?: number}} Grip */

/** @param {View} view @param {boolean} plain  without grips: two boards are shown */
export function layOver(view, plain) {
  const { job } = known;
  const board = job?.scene.board;
  if (!job || !board) {
    laidFor = [];
    return fill(over);
  }
  const now = [plain, job.scene, known.found, known.pointed, !!shownOf(""), ...view.matrix];
  if (now.some((one, n) => one !== laidFor[n])) {
    laidFor = now;
    give(over, { viewBox: `0 0 ${view.width} ${view.height}` });
    fill(over, ...(plain ? [] : [...still(view), loose]));
  }
  if (!plain) fill(loose, ...held(view));
}

/** @param {View} view @returns {SVGElement[]} */
function held(view) {
  const { chosen, job } = known;
  const scene = job?.scene;
  if (!scene?.board) return [];
  const others = things().filter((thing) => !same(thing, chosen)).map(
    (thing) => touched(view, thing));
  if (!chosen) return others;
  const parts = chosen.table === "art" ? heldArt(view, chosen)
    : chosen.table === "note" ? heldNote(view, chosen)
      : chosen.table === "track" ? [trackDrawn(view, chosen, { class: "frame" })]
        : heldLine(view, chosen);
  // A photo in the hand lies beneath what stands on it; its grips lie over all.
  const low = chosen.table === "art" ? parts.filter((one) => !one.classList.contains("grip")) : [];
  return [...low, ...others, ...parts.filter((one) => !low.includes(one))];
}

/** All that lies on the board and can be chosen, bottom first. @returns {Thing[]} */
export function things() {
  const document = known.job?.document ?? {};
  return /** @type {Thing["table"][]} */ (["art", "line", "track", "note"]).flatMap(
    (table) => (document[table] ?? []).map((/** @type {any} */ _, /** @type {number} */ at) =>
      ({ table, at })));
}

/** What a thing is called. @param {Thing} thing */
export function nameOf(thing) {
  const table = known.job?.document[thing.table]?.[thing.at] ?? {};
  if (thing.table === "note") return `note “${table.text}”`;
  if (thing.table === "line" || thing.table === "track") {
    return table.name ? `${thing.table} “${table.name}”` : `${thing.table} ${thing.at + 1}`;
  }
  const kind = { photo: "photo", line: "line work", flat: "flat" }[
    /** @type {"photo"} */ (table.kind ?? "photo")];
  return table.file ? `${kind} ${table.file}` : `flat colour in ${table.ink}`;
}

/** Something that is not in the hand: it can be reached by keyboard and pointer.
 * @param {View} view @param {Thing} thing */
function touched(view, thing) {
  const traits = { class: "touch", tabindex: 0, role: "button", "data-key": `t ${thing.table} ${thing.at}`,
    "aria-label": `Take up the ${nameOf(thing)}` };
  const table = tableOf(thing);
  /** @type {SVGElement} */
  let made;
  const drawn = known.job?.scene.drawn.filter((one) => one.table === thing.table
    && one.at === thing.at && one.bounds.length) ?? [];
  if (thing.table === "track") {
    made = trackDrawn(view, thing, traits);
  } else if (thing.table === "line") {
    const points = table.points.map((/** @type {any[]} */ p) => view.toWindow(
      [mmOf(p[0]), mmOf(p[1])]));
    made = draw("path", { ...traits, class: "touch course", d: courseTold(points, !!table.smooth) });
  } else if (drawn.length) {
    const boxes = drawn.map((one) => one.bounds);
    const corners = [[Math.min(...boxes.map((b) => b[0])), Math.min(...boxes.map((b) => b[1]))],
      [Math.max(...boxes.map((b) => b[2])), Math.max(...boxes.map((b) => b[3]))]];
    const [a, b] = corners.map((p) => view.toWindow(/** @type {Point} */ (p)));
    const grow = (/** @type {number} */ side) => Math.max(0, (24 - side) / 2);
    const [w, h] = [Math.abs(a[0] - b[0]), Math.abs(a[1] - b[1])];
    made = draw("rect", { ...traits, x: Math.min(a[0], b[0]) - grow(w),
      y: Math.min(a[1], b[1]) - grow(h), width: w + 2 * grow(w), height: h + 2 * grow(h), rx: 3 });
  } else {
    const placed = artPlaced(thing);
    made = draw("polygon", { ...traits, points: placed
      ? cornersOf(placed).map((p) => view.toWindow(p).join(",")).join(" ") : "" });
  }
  grips.set(made, { thing, part: "all" });
  return made;
}

/** A track's own outline: no hand moves it, since it lies where the camera saw it.
 * @param {View} view @param {Thing} thing @param {Record<string, unknown>} traits */
function trackDrawn(view, thing, traits) {
  const paths = known.job?.scene.drawn.filter((one) => one.table === "track"
    && one.at === thing.at).map((one) => one.path) ?? [];
  return draw("path", { ...traits, class: `${traits.class} course`, d: paths.join(""),
    transform: `matrix(${view.matrix.join(" ")})`, "vector-effect": "non-scaling-stroke" });
}

/** Where an artwork lies now. @param {Thing} thing */
export function artPlaced(thing) {
  const scene = known.job?.scene;
  if (!scene?.board || thing.table !== "art") return null;
  const art = scene.art.find((one) => one.order === thing.at);
  const table = tableOf(thing);
  const kept = art && keptOf(table, art.whole);
  const px = kept ? /** @type {[number, number]} */ ([kept.w, kept.h])
    : scene.pages[String(thing.at)]?.size;
  return px ? placedBy(table, px, scene.board.bounds) : null;
}

/** @param {View} view @param {Thing} thing */
function heldArt(view, thing) {
  const placed = artPlaced(thing);
  const board = known.job?.scene.board;
  if (!placed || !board) return [];
  const corners = cornersOf(placed).map((p) => view.toWindow(p));
  const frame = draw("polygon", { class: "frame", points: corners.map((p) => p.join(",")).join(" ") });
  grips.set(frame, { thing, part: "all" });
  const art = known.job?.scene.art.find((one) => one.order === thing.at);
  const parts = [frame];
  if (art?.kind === "photo") parts.push(...rangeDrawn(view, placed, board.hull, art.fill));
  const middle = view.toWindow(placed.middle);
  const seen = corners.map((p) => inSight(view, p, middle));
  if (art && known.cropping) {
    SIDES.forEach((side, n) => parts.push(grip(midway(seen[n], seen[(n + 1) % 4]),
      { thing, part: "side", n },
      `${side} side of the ${nameOf(thing)}: arrow keys cut it off or give it back`, "side")));
    return parts;
  }
  seen.forEach((p, n) => parts.push(grip(p, { thing, part: "corner", n },
    `Corner ${n + 1} of the ${nameOf(thing)}: plus and minus make it larger and smaller`, "corner")));
  const top = midway(seen[0], seen[1]);
  parts.push(grip(top, { thing, part: "turn" },
    `Turn the ${nameOf(thing)}: arrow keys turn it`, "turn"));
  parts.push(grip(middle, { thing, part: "all" },
    `${nameOf(thing)}: arrow keys move it by 1 mm, with Shift by 0.1 mm`, "move"));
  return parts;
}

/** The range in which the art's middle may lie while it still covers the bleed.
 * @param {View} view @param {import("./placing.js").Placed} placed @param {Point[]} hull
 * @param {number} fillMm */
function rangeDrawn(view, placed, hull, fillMm) {
  const range = rangeOf(placed, hull, fillMm);
  if (range.u[0] > range.u[1] + 0.01 || range.v[0] > range.v[1] + 0.01) return [];
  const { middle, u, v } = placed;
  const corner = (/** @type {number} */ a, /** @type {number} */ b) => view.toWindow(
    [middle[0] + a * u[0] + b * v[0], middle[1] + a * u[1] + b * v[1]]);
  const points = [corner(range.u[0], range.v[0]), corner(range.u[1], range.v[0]),
    corner(range.u[1], range.v[1]), corner(range.u[0], range.v[1])];
  return [draw("polygon", { class: covers(range) ? "range" : "range bare",
    points: points.map((p) => p.join(",")).join(" ") })];
}

/** A corner drawn in towards the middle until it is in sight. @param {View} view
 * @param {Point} p @param {Point} middle @returns {Point} */
function inSight(view, p, middle) {
  const edge = 22;
  let share = 1;
  for (const [k, most] of [[0, view.width], [1, view.height]]) {
    const way = p[k] - middle[k];
    if (p[k] < edge && way < 0) share = Math.min(share, (edge - middle[k]) / way);
    const end = most - edge - (k ? 14 : 0); // above the steel rule
    if (p[k] > end && way > 0) share = Math.min(share, (end - middle[k]) / way);
  }
  share = Math.max(share, 0);
  return [middle[0] + (p[0] - middle[0]) * share, middle[1] + (p[1] - middle[1]) * share];
}

/** @param {Point} a @param {Point} b @returns {Point} */
const midway = (a, b) => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];

/** @param {View} view @param {Thing} thing */
function heldNote(view, thing) {
  const { at, label } = placesOf(tableOf(thing));
  const drawn = known.job?.scene.drawn.find((one) => one.table === "note" && one.at === thing.at);
  const was = placesOf(known.job?.document.note?.[thing.at] ?? {});
  const parts = [];
  if (drawn?.type && drawn.bounds.length) {
    const [dx, dy] = [label[0] - was.label[0], label[1] - was.label[1]];
    const half = drawn.type;
    const long = String(tableOf(thing).text ?? "").length * drawn.type * 0.3;
    const turned = Math.abs(Math.sin((parseFloat(tableOf(thing).turn ?? 90)) * Math.PI / 180)) > 0.7;
    const [lx, ly] = turned ? [long, half] : [half, long];
    const [a, b] = [view.toWindow([was.label[0] + dx - lx, was.label[1] + dy - ly]),
      view.toWindow([was.label[0] + dx + lx, was.label[1] + dy + ly])];
    const box = draw("rect", { class: "frame", x: Math.min(a[0], b[0]), y: Math.min(a[1], b[1]),
      width: Math.abs(a[0] - b[0]), height: Math.abs(a[1] - b[1]), rx: 3 });
    grips.set(box, { thing, part: "label" });
    parts.push(box);
  }
  parts.push(grip(view.toWindow(label), { thing, part: "label" },
    `Lettering of the ${nameOf(thing)}: arrow keys move it, Enter types its words`, "move"));
  if (at[0] !== label[0] || at[1] !== label[1]) {
    parts.push(grip(view.toWindow(at), { thing, part: "point" },
      `Point of the ${nameOf(thing)}: arrow keys move it`, "point"));
  }
  return parts;
}

/** @param {View} view @param {Thing} thing */
function heldLine(view, thing) {
  const table = tableOf(thing);
  const points = /** @type {Point[]} */ (table.points.map((/** @type {any[]} */ p) =>
    view.toWindow([mmOf(p[0]), mmOf(p[1])])));
  const course = draw("path", { class: "frame course", d: courseTold(points, !!table.smooth) });
  grips.set(course, { thing, part: "all" });
  return [course,
    ...points.slice(1).map((p, n) => grip(midway(p, points[n]), { thing, part: "between", n },
      `Put a point between points ${n + 1} and ${n + 2}`, "between")),
    ...points.map((p, n) => grip(p, { thing, part: "point", n },
      `Point ${n + 1} of the ${nameOf(thing)}: arrow keys move it, Delete takes it out`, "point"))];
}

/** @param {Point} at @param {Grip} what @param {string} words @param {string} kind */
function grip([x, y], what, words, kind) {
  const traits = { class: `grip ${kind}`, tabindex: 0, role: "button", "aria-label": words,
    "data-key": `g ${what.part} ${what.n ?? ""}`, transform: `translate(${x} ${y})` };
  const shapes = [draw("circle", { r: 13, class: "reach" })];
  if (kind === "turn") {
    shapes.push(draw("circle", { r: 9, class: "body" }),
      draw("path", { d: "M-4 -2a4.5 4.5 0 1 1 0 4M-4 -5.5V-2H-.6", class: "sign" }));
  } else if (kind === "move") {
    shapes.push(draw("circle", { r: 9, class: "body" }),
      draw("path", { d: "M-5 0H5M0 -5V5", class: "sign" }));
  } else if (kind === "corner") shapes.push(draw("rect", { x: -6, y: -6, width: 12, height: 12, class: "body" }));
  else if (kind === "side") shapes.push(draw("path", { d: "M0 -9L9 0L0 9L-9 0Z", class: "body" }));
  else if (kind === "between") shapes.push(draw("circle", { r: 4, class: "body faint" }));
  else shapes.push(draw("circle", { r: 7, class: "body" }));
  const made = draw("g", traits, ...shapes);
  grips.set(made, what);
  return made;
}
