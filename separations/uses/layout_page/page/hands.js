/** What hands do on the bench: take hold, move, scale, turn, slide the view; pointer and touch. */

import { repaint, tapsAsked, view } from "./bench.js";
import { putDown } from "./edits.js";
import { addPoint, choose, keepFocus, rest, sayWhere, settle } from "./held.js";
import { spaceIsDown, startKeys } from "./keys.js";
import { typeInPlace } from "./lettering.js";
import { moved, scaled, show, turned } from "./moving.js";
import { artPlaced, grips, nameOf } from "./outlines.js";
import { isInked } from "./pictures.js";
import { keptOf, matrixOf } from "./placing.js";
import { part } from "./dom.js";
import { keyOf, known, same, tableOf, tell } from "./store.js";

/** @typedef {import("./types.js").Point} Point */
/** @typedef {import("./types.js").Thing} Thing */
/** @typedef {import("./types.js").Table} Table */
/** @typedef {{thing: Thing, part: string, n?: number}} Grip */

const table = part("table");
/** How far a finger may stray and still tap, and how far off a soft stop holds (px). */
const STRAY = 5;
const GIVE = 10;

/** @type {Map<number, Point>} */
const fingers = new Map();
/** @type {null | {grip: Grip | null, start: Point, from: Table, moved: boolean,
 *   spread: number, angle: number, pinch: boolean}} */
let hold = null;

/** Where the bench lay when the hand came: what moves the page meanwhile moves nothing in the hand.
 * @type {DOMRect | null} */
let lay = null;

/** @param {{clientX: number, clientY: number}} event @returns {Point} */
function at(event) {
  const box = lay && fingers.size ? lay : table.getBoundingClientRect();
  return [event.clientX - box.left - table.clientLeft, event.clientY - box.top - table.clientTop];
}

/** What a hand takes hold of: the topmost thing there, and of drawn lines only where they ink.
 * @param {PointerEvent} event @returns {Grip | null} */
function gripUnder(event) {
  const place = view.toBoard(at(event));
  for (const under of document.elementsFromPoint(event.clientX, event.clientY)) {
    for (let one = /** @type {Element | null} */ (under); one && one !== table;
      one = one.parentElement) {
      const found = grips.get(one);
      if (found && (found.part !== "all" || same(found.thing, known.chosen)
        || inksAt(found.thing, place))) return found;
    }
  }
  return null;
}

/** Whether a thing is to be felt at a place: a sheet of line work is not where it is blank.
 * @param {Thing} thing @param {Point} place */
function inksAt(thing, place) {
  const art = known.job?.scene.art.find((one) => thing.table === "art" && one.order === thing.at);
  const placed = art?.kind === "line" ? artPlaced(thing) : null;
  if (!art || !placed) return true;
  const [a, b, c, d, e, f] = matrixOf(placed);
  const [x, y] = [place[0] - e, place[1] - f];
  const det = a * d - b * c;
  const kept = keptOf(tableOf(thing), art.whole);
  return isInked(art, kept.x + (d * x - c * y) / det, kept.y + (a * y - b * x) / det,
    4 / view.scale / placed.scale);
}

/** @param {PointerEvent} event */
function down(event) {
  if (event.button > 1 || (event.target instanceof Element && event.target.closest(".glass, #typing"))) return;
  settle();
  if (tapsAsked()) event.preventDefault();
  if (!fingers.size) lay = table.getBoundingClientRect();
  const place = at(event);
  fingers.set(event.pointerId, place);
  table.setPointerCapture(event.pointerId);
  if (fingers.size === 2) return pinch();
  const slides = event.button === 1 || spaceIsDown() || onRule(place);
  const grip = slides || tapsAsked() ? null : gripUnder(event);
  if (grip?.part === "between") {
    fingers.clear();
    return addPoint(grip, place);
  }
  hold = { grip, start: place, from: grip ? tableOf(grip.thing) : {}, moved: false, spread: 0,
    angle: 0, pinch: false };
  if (grip && grip.thing.table !== "art") choose(grip.thing);
}

/** @param {Point} place  whether it is on the steel rule, which slides the view */
const onRule = ([x, y]) => view.nose === "up" ? x < 22 : y > view.height - 22;

function pinch() {
  const [a, b] = [...fingers.values()];
  const thing = known.chosen?.table === "art" ? known.chosen : null;
  hold = { grip: thing ? { thing, part: "pinch" } : null, start: mean(a, b),
    from: thing ? tableOf(thing) : {}, moved: true, spread: Math.hypot(a[0] - b[0], a[1] - b[1]),
    angle: Math.atan2(b[1] - a[1], b[0] - a[0]), pinch: true };
}

/** @param {Point} a @param {Point} b @returns {Point} */
const mean = (a, b) => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];

/** @param {PointerEvent} event */
function move(event) {
  const was = fingers.get(event.pointerId);
  if (!was || !hold) return;
  const place = at(event);
  fingers.set(event.pointerId, place);
  if (hold.pinch) return pinched();
  const step = /** @type {Point} */ ([place[0] - hold.start[0], place[1] - hold.start[1]]);
  if (!hold.moved && Math.hypot(...step) < STRAY) return;
  if (!hold.moved && hold.grip) choose(hold.grip.thing);
  hold.moved = true;
  const { grip } = hold;
  if (!grip) {
    if (!tapsAsked()) {
      view.slide([place[0] - was[0], place[1] - was[1]]);
      view.keep(known.job?.scene.board?.bounds ?? [0, 0, 0, 0]);
      repaint();
    }
    return;
  }
  if (grip.part === "corner" || grip.part === "turn") return byCorner(grip, place);
  show(grip.thing, moved(grip, hold.from, view.byBoard(step), GIVE / view.scale));
  sayWhere(grip.thing);
}

/** @param {Grip} grip @param {Point} place */
function byCorner(grip, place) {
  const placed = artPlaced(grip.thing);
  if (!placed || !hold) return;
  const middle = view.toWindow(placed.middle);
  const [was, now] = [hold.start, place].map((p) => [p[0] - middle[0], p[1] - middle[1]]);
  const table = grip.part === "corner"
    ? scaled(grip.thing, hold.from, Math.hypot(...now) / Math.max(Math.hypot(...was), 1), true)
    : turned(grip.thing, hold.from,
      (Math.atan2(was[1], was[0]) - Math.atan2(now[1], now[0])) * 180 / Math.PI, true);
  show(grip.thing, table);
  sayWhere(grip.thing);
}

function pinched() {
  if (!hold) return;
  const [a, b] = [...fingers.values()];
  const middle = mean(a, b);
  const spread = Math.hypot(a[0] - b[0], a[1] - b[1]) / Math.max(hold.spread, 1);
  if (!hold.grip) {
    view.nearer(spread, middle);
    view.slide([middle[0] - hold.start[0], middle[1] - hold.start[1]]);
    hold.start = middle;
    hold.spread *= spread;
    return repaint();
  }
  const { thing } = hold.grip;
  const angle = (Math.atan2(b[1] - a[1], b[0] - a[0]) - hold.angle) * -180 / Math.PI;
  const step = view.byBoard([middle[0] - hold.start[0], middle[1] - hold.start[1]]);
  let table = moved({ thing, part: "all" }, hold.from, step, GIVE / view.scale);
  table = scaled(thing, table, spread, true);
  if (Math.abs(angle) > 4) table = turned(thing, table, angle, true);
  show(thing, table);
  sayWhere(thing);
}

/** @param {PointerEvent} event */
function up(event) {
  if (!fingers.delete(event.pointerId) || !hold) return;
  const { grip, moved: went, start, pinch: two } = hold;
  hold = null;
  keepFocus(".touch");
  if (event.type === "pointercancel") {
    if (grip) known.live.delete(keyOf(grip.thing));
    tell("live");
    return;
  }
  if (grip && went) {
    const words = { corner: "scaled", turn: "turned", pinch: "placed", side: "cropped" }[grip.part] ?? "moved";
    void putDown(grip.thing, `${words} the ${nameOf(grip.thing)}`);
  } else if (!went && !two) tapped(grip, start);
}

/** @param {Grip | null} grip @param {Point} place */
function tapped(grip, place) {
  const asked = tapsAsked();
  if (asked) return asked.tap(view.toBoard(place));
  choose(grip?.thing ?? null);
}

/** @param {WheelEvent} event */
function wheel(event) {
  event.preventDefault();
  const rate = event.deltaMode === 1 ? 20 : 1;
  if (Math.abs(event.deltaX) > Math.abs(event.deltaY) || event.shiftKey) {
    view.slide([-(event.deltaX || event.deltaY) * rate, 0]);
    view.keep(known.job?.scene.board?.bounds ?? [0, 0, 0, 0]);
    return repaint();
  }
  const factor = Math.exp(-event.deltaY * rate / 500);
  const { chosen } = known;
  if (chosen?.table === "art" && !event.ctrlKey) {
    show(chosen, scaled(chosen, tableOf(chosen), factor, false));
    sayWhere(chosen);
    return rest(chosen, `scaled the ${nameOf(chosen)}`);
  }
  view.nearer(factor, at(event));
  return repaint();
}

/** Begin. */
export function startHands() {
  table.addEventListener("pointerdown", down);
  table.addEventListener("mousedown", (/** @type {MouseEvent} */ event) => {
    if (tapsAsked()) event.preventDefault(); // what is tapped takes no focus
  });
  table.addEventListener("pointermove", move);
  table.addEventListener("pointerup", up);
  table.addEventListener("pointercancel", up);
  table.addEventListener("wheel", wheel, { passive: false });
  startKeys();
  table.addEventListener("dblclick", (/** @type {MouseEvent} */ event) => {
    if (tapsAsked() || /** @type {Element} */ (event.target).closest("#typing")) return;
    if (known.chosen && known.chosen.table !== "art") typeInPlace(known.chosen);
    else if (!known.chosen) {
      view.nearer(2, at(event));
      repaint();
    }
  });
}
