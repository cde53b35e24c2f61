/** The bench: the board to scale on it, a steel rule beneath, and outlines and grips over it. */

import { fill, part } from "./dom.js";
import { paintBoard } from "./paint.js";
import { wantPicture } from "./pictures.js";
import { layOver } from "./outlines.js";
import { hears, known, tell } from "./store.js";
import { View } from "./view.js";

/** @typedef {import("./view.js").Nose} Nose */
/** @typedef {import("./types.js").Point} Point */

export const view = new View();
/** How two texts are compared: not at all, one beside the other, or under a wipe. */
export const compare = {
  /** @type {"none" | "beside" | "wipe"} */ how: "none",
  /** Which text the other is. */ of: "saved",
  /** Where the wipe stands, 0 to 1 of the window. */ wipe: 0.5,
};
/** @typedef {{words: string, tap: (at: Point) => void, stop?: () => void} | null} Tapping */
/** What the bench is asked to do with the next taps. @type {Tapping} */
let tapping = null;
let asked = false;
let fitted = "";
/** When frames were painted while something moved (ms), for whoever measures the page. */
export const frames = /** @type {number[]} */ ([]);

const table = part("table");
const canvas = /** @type {HTMLCanvasElement} */ (part("picture"));
const brush = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));

/** Paint before the next frame. */
export function repaint() {
  if (asked) return;
  asked = true;
  requestAnimationFrame((now) => {
    asked = false;
    if (known.live.size) frames.push(now);
    paint();
  });
}

/** Show the whole board again. */
export function wholeBoard() {
  const board = known.job?.scene.board;
  if (!board) return;
  view.fit(board.bounds, Math.min(28, view.width * 0.03));
  view.least = view.scale / 3;
  repaint();
}

/** Bring a place near. @param {readonly number[]} box */
export function bringNear([x0, y0, x1, y1]) {
  const round = 40;
  view.fit([x0 - round, y0 - round, x1 + round, y1 + round]);
  view.scale = Math.min(view.scale, 8);
  repaint();
}

/** @param {Nose} nose */
export function pointNose(nose) {
  view.nose = nose;
  document.body.classList.toggle("standing", nose === "up");
  measure();
  wholeBoard();
  tell("shown");
}

/** Have the next taps on the board do something. @param {Tapping} what */
export function askTaps(what) {
  tapping?.stop?.();
  tapping = what;
  table.classList.toggle("tapping", !!what);
  part("asking").textContent = what?.words ?? "";
  tell("chosen");
}

/** Where on the board a pointer is. @param {{clientX: number, clientY: number}} event */
export function placeOf(event) {
  const box = table.getBoundingClientRect();
  return view.toBoard([event.clientX - box.left - table.clientLeft,
    event.clientY - box.top - table.clientTop]);
}

export const tapsAsked = () => tapping;

function measure() {
  const { clientWidth: width, clientHeight: height } = table;
  const changed = width !== view.width || height !== view.height;
  [view.width, view.height] = [Math.max(width, 1), Math.max(height, 1)];
  const ratio = Math.min(devicePixelRatio, 2);
  const [w, h] = [Math.round(view.width * ratio), Math.round(view.height * ratio)];
  if (canvas.width !== w || canvas.height !== h) [canvas.width, canvas.height] = [w, h];
  return changed;
}

function paint() {
  const { job } = known;
  if (!job) return;
  const ratio = canvas.width / view.width;
  brush.setTransform(1, 0, 0, 1, 0, 0);
  brush.clearRect(0, 0, canvas.width, canvas.height);
  if (compare.how === "beside") {
    halves().forEach(({ half, of, left, top }) => {
      brush.save();
      brush.beginPath();
      brush.rect(left * ratio, top * ratio, half.width * ratio, half.height * ratio);
      brush.clip();
      paintBoard(brush, shifted(half, left, top), of, ratio);
      brush.restore();
    });
  } else {
    paintBoard(brush, view, "", ratio);
    if (compare.how === "wipe") {
      const across = view.nose !== "up";
      const at = compare.wipe * (across ? canvas.width : canvas.height);
      brush.setTransform(1, 0, 0, 1, 0, 0);
      brush.save();
      brush.beginPath();
      if (across) brush.rect(at, 0, canvas.width - at, canvas.height);
      else brush.rect(0, at, canvas.width, canvas.height - at);
      brush.clip();
      brush.clearRect(0, 0, canvas.width, canvas.height);
      paintBoard(brush, view, compare.of, ratio);
      brush.restore();
      brush.setTransform(1, 0, 0, 1, 0, 0);
      brush.fillStyle = "#2b2722";
      if (across) brush.fillRect(at - ratio, 0, 2 * ratio, canvas.height);
      else brush.fillRect(0, at - ratio, canvas.width, 2 * ratio);
    }
  }
  paintRule(ratio);
  layOver(view, compare.how === "beside");
  wantAll();
}

/** The two halves of the bench, one text in each. */
function halves() {
  const across = view.nose === "up";
  const half = view.copy();
  half.width = across ? view.width / 2 : view.width;
  half.height = across ? view.height : view.height / 2;
  return [{ half, of: "", left: 0, top: 0 },
    { half, of: compare.of, left: across ? half.width : 0, top: across ? 0 : half.height }];
}

/** A view that paints with its own corner elsewhere. @param {View} half @param {number} left
 * @param {number} top */
function shifted(half, left, top) {
  const moved = half.copy();
  moved.width = half.width + 2 * left;
  moved.height = half.height + 2 * top;
  return moved;
}

function wantAll() {
  if (known.live.size) return;
  wantPicture("", view);
  if (compare.how !== "none") wantPicture(compare.of, view);
}

/** A steel rule along the bench, to the board's scale, from mid-length. @param {number} ratio */
function paintRule(ratio) {
  const high = 22;
  const lying = view.nose !== "up";
  const long = lying ? view.width : view.height;
  const wide = lying ? view.height : view.width;
  brush.setTransform(ratio, 0, 0, ratio, 0, 0);
  if (!lying) brush.transform(0, 1, 1, 0, 0, 0); // along the left edge
  const top = lying ? wide - high : 0;
  brush.fillStyle = "#c9ccc8";
  brush.fillRect(0, top, long, high);
  brush.fillStyle = "#8f9590";
  brush.fillRect(0, lying ? top : high - 1, long, 1);
  const step = [1, 5, 10, 50, 100, 200, 500].find((mm) => mm * view.scale >= 46) ?? 500;
  const fine = step / (step % 5 === 0 ? 5 : 2);
  const [first, last] = [view.toBoard([0, 0]), view.toBoard([view.width, view.height])]
    .map((p) => p[0]);
  const [low, top_] = [Math.min(first, last), Math.max(first, last)];
  brush.fillStyle = "#2b2f2c";
  brush.font = "11px system-ui, sans-serif";
  brush.textAlign = "left";
  for (let mm = Math.floor(low / fine) * fine; mm <= top_; mm += fine) {
    const whole = Math.abs(mm / step - Math.round(mm / step)) < 1e-6;
    const at = view.toWindow([mm, 0])[lying ? 0 : 1];
    const tick = whole ? 11 : 6;
    brush.fillRect(at, lying ? top : high - tick, 1, tick);
    if (whole) {
      const words = step >= 10 ? `${Math.abs(Math.round(mm / 10))}` : `${Math.abs(mm)} mm`;
      const told = step >= 10 && Math.abs(mm) < 1e-6 && lying ? "0 cm" : words;
      brush.save();
      if (!lying) brush.transform(0, 1, 1, 0, 0, 0);
      brush.fillText(told, lying ? at + 3 : 2, lying ? top + 18 : at + 11);
      brush.restore();
    }
  }
}

/** Begin. */
export function startBench() {
  new ResizeObserver(() => {
    if (measure()) {
      if (fitted) wholeBoard();
      repaint();
    }
  }).observe(table);
  view.nose = matchMedia("(max-width: 40rem) and (orientation: portrait)").matches ? "up" : "right";
  document.body.classList.toggle("standing", view.nose === "up");
  measure();
  hears(["job", "live", "chosen", "shown", "found"], () => {
    const board = known.job?.scene.board;
    const shape = board ? `${known.job?.folder} ${board.trimBounds}` : "";
    if (board && shape !== fitted) {
      fitted = shape;
      measure();
      wholeBoard();
    }
    repaint();
  });
  fill(part("asking"));
}
