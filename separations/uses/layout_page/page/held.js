/** What is in the hand, and what buttons and keys do to it: the same as hands do. */

import { askTaps, view } from "./bench.js";
import { edit, putDown } from "./edits.js";
import { jobUnit, moved, scaled, show, turned, whereTold } from "./moving.js";
import { grips, nameOf } from "./outlines.js";
import { part } from "./dom.js";
import { hears, known, same, tableOf, tell } from "./store.js";
import { placesOf } from "./paint.js";
import { lengthIn, mmOf } from "./units.js";

/** @typedef {import("./types.js").Point} Point */
/** @typedef {import("./types.js").Thing} Thing */
/** @typedef {{thing: Thing, part: string, n?: number}} Grip */

/** Rest after which a nudge or a wheel's turn is put down (ms). */
const REST = 260;
/** @type {ReturnType<typeof setTimeout> | 0} */
let resting = 0;
let restTold = "";
/** @type {Thing | null} */
let restThing = null;
/** What the sentence beside the tools tells the place of. @type {Thing | null} */
let placeTold = null;

/** @param {Thing | null} thing */
export function choose(thing) {
  if (same(thing, known.chosen)) return;
  settle();
  known.chosen = thing;
  known.cropping = false;
  say("");
  tell("chosen");
}

/** Keys act where the hand was, also when what had the focus is drawn anew as something else.
 * @param {string} [also]  what gives the focus up besides: what a pointer took in passing */
export function keepFocus(also = "body") {
  requestAnimationFrame(() => requestAnimationFrame(() => {
    if (document.activeElement?.matches(`body, ${also}`)) part("table").focus({ preventScroll: true });
  }));
}

/** Say something of what is in the hand. @param {string} words */
export function say(words) {
  part("moving").textContent = words;
  placeTold = null;
}

/** Say where a thing lies; told anew when it lies elsewhere. @param {Thing} thing */
export function sayWhere(thing) {
  say(whereTold(thing));
  placeTold = thing;
}

/** Begin. */
export function startHeld() {
  hears(["job"], () => {
    if (placeTold && known.job?.document[placeTold.table]?.[placeTold.at]) sayWhere(placeTold);
    else if (placeTold) say("");
  });
}

/** @param {Grip} grip @param {Point} place */
export function addPoint(grip, place) {
  const was = tableOf(grip.thing);
  const [x, y] = view.toBoard(place);
  const points = [...was.points];
  points.splice((grip.n ?? 0) + 1, 0, [lengthIn(x, jobUnit()), lengthIn(y, jobUnit())]);
  show(grip.thing, { ...was, points });
  void putDown(grip.thing, `put a point in the ${nameOf(grip.thing)}`);
}

/** Put a thing down when the hand has rested. @param {Thing} thing @param {string} told */
export function rest(thing, told) {
  clearTimeout(resting);
  [restThing, restTold] = [thing, told];
  resting = setTimeout(settle, REST);
}

/** Put down what a nudge or the wheel moved. */
export function settle() {
  clearTimeout(resting);
  const thing = restThing;
  restThing = null;
  if (thing) void putDown(thing, restTold);
}

/**
 * Move what is in the hand by a step in the window: arrow keys and buttons.
 * @param {Point} way  px of length 1
 * @param {number} mm
 * @param {Grip | null} [grip]
 */
export function nudge(way, mm, grip = held()) {
  if (!grip) return;
  const [dx, dy] = view.byBoard(way).map((step) => step * view.scale * mm);
  show(grip.thing, moved(grip, tableOf(grip.thing), [round(dx), round(dy)], 0));
  sayWhere(grip.thing);
  rest(grip.thing, `moved the ${nameOf(grip.thing)}`);
}

/** @param {number} step */
const round = (step) => Math.round(step * 100) / 100;

/** What is in the hand, or the part of it that has the focus. @returns {Grip | null} */
export function held() {
  const focused = document.activeElement && grips.get(document.activeElement);
  if (focused && same(focused.thing, known.chosen)) return focused;
  return known.chosen ? { thing: known.chosen, part: "all" } : null;
}

/** Let the sides of the picture in the hand be moved inwards, or no longer. */
export function cropHeld() {
  known.cropping = !known.cropping;
  say(known.cropping ? "Drag a side of the picture inwards to cut it off." : "");
  tell("chosen");
}

/** @param {number} factor */
export function scaleHeld(factor) {
  const { chosen } = known;
  if (!chosen) return;
  show(chosen, scaled(chosen, tableOf(chosen), factor, false));
  sayWhere(chosen);
  rest(chosen, `scaled the ${nameOf(chosen)}`);
}

/** @param {number} degrees */
export function turnHeld(degrees) {
  const { chosen } = known;
  if (!chosen || chosen.table === "line" || chosen.table === "track") return;
  show(chosen, turned(chosen, tableOf(chosen), degrees, false));
  sayWhere(chosen);
  rest(chosen, `turned the ${nameOf(chosen)}`);
}

/** Take what is in the hand off the board. */
export function removeHeld() {
  const grip = held();
  if (!grip) return;
  settle();
  const { thing, part: what, n } = grip;
  const points = tableOf(thing).points;
  if (thing.table === "line" && what === "point" && points.length > 2) {
    show(thing, { ...tableOf(thing), points: points.filter((/** @type {any} */ _, /** @type {number} */
      at_) => at_ !== n) });
    void putDown(thing, `took a point out of the ${nameOf(thing)}`);
    return;
  }
  if (thing.table === "art" && known.job?.document.art.length === 1) {
    say("A job needs one artwork: add another before this one is taken off.");
    return;
  }
  const words = `took off the ${nameOf(thing)}`;
  known.chosen = null;
  void edit([{ remove: thing.table, at: thing.at }], words);
}

/** Put what is in the hand where two taps say: first what, then where. */
export function moveByTaps() {
  const grip = held();
  if (!grip) return;
  const { thing } = grip;
  const table_ = tableOf(thing);
  const anchored = thing.table === "note" && grip.part === "all"
    ? { thing, part: "point" } : grip;
  /** @type {Point | null} */
  let from = thing.table === "note" ? (anchored.part === "label" ? placesOf(table_).label
    : placesOf(table_).at) : thing.table === "line" && grip.n !== undefined
    ? [mmOf(table_.points[grip.n][0]), mmOf(table_.points[grip.n][1])] : null;
  const tap = (/** @type {Point} */ place) => {
    if (!from) {
      from = place;
      askTaps({ words: "Now tap where that spot should lie.", tap });
      return;
    }
    const step = /** @type {Point} */ ([place[0] - from[0], place[1] - from[1]]);
    askTaps(null);
    show(thing, moved(anchored, tableOf(thing), step, 0));
    void putDown(thing, `moved the ${nameOf(thing)}`);
  };
  askTaps({ words: from ? "Tap its new place." : "Tap a spot of it that you know.", tap });
}

