/** Paints the board on the bench: the true picture, or what the hand moves, over wood. */

import { keptOf, placedBy, matrixOf } from "./placing.js";
import { artPicture, liesAsShown, shownOf } from "./pictures.js";
import { keyOf, known, tableOf } from "./store.js";
import { courseOf } from "./course.js";
import { mmOf } from "./units.js";

/** @typedef {import("./view.js").View} View */
/** @typedef {import("./types.js").Scene} Scene */
/** @typedef {import("./types.js").Board} Board */

/** @type {Map<string, Path2D>} */
const paths = new Map();

/** @param {string} told  an SVG path */
export function pathOf(told) {
  let path = paths.get(told);
  if (!path) {
    if (paths.size > 400) paths.clear();
    paths.set(told, path = new Path2D(told));
  }
  return path;
}

/** @param {readonly number[] | null | undefined} srgb */
export const css = (srgb) => srgb ? `rgb(${srgb.join(" ")})` : "rgb(196 170 122)";

/**
 * @param {CanvasRenderingContext2D} brush
 * @param {View} view
 * @param {string} of  which text: empty for the newest
 * @param {number} ratio  screen pixels a px
 */
export function paintBoard(brush, view, of, ratio) {
  const scene = known.job?.scene;
  const board = scene?.board;
  if (!scene || !board) return;
  const onBoard = () => brush.setTransform(
    .../** @type {[number, number, number, number, number, number]} */ (
      view.matrix.map((part) => part * ratio)));
  onBoard();
  if (!of) ghosts(brush, scene, onBoard); // where another text's art lies is not known here
  shadow(brush, board, ratio);
  const best = shownOf(of);
  const photo = known.photo && !of;
  brush.save();
  onBoard();
  brush.clip(pathOf(board.bleed), "evenodd");
  brush.fillStyle = photo ? "#fff" : css(scene.wood);
  brush.fill(pathOf(board.bleed));
  if (!of) paintArt(brush, scene, onBoard, photo);
  brush.restore();
  onBoard();
  veil(brush, board);
  if (best && !photo && (of || (known.live.size === 0 && liesAsShown()))) {
    brush.save();
    brush.clip(pathOf(board.trim));
    brush.transform(best.pixel, 0, 0, -best.pixel, best.left, best.top);
    // Weighing every pixel takes three times as long as two by two, which do down to a half.
    brush.imageSmoothingQuality = best.pixel * view.scale < 0.5 ? "high" : "low";
    brush.drawImage(best.bitmap, 0, 0);
    brush.restore();
  }
}

/** The rest of the art, outside of what is printed: one sees what is cut.
 * @param {CanvasRenderingContext2D} brush @param {Scene} scene @param {() => void} onBoard */
function ghosts(brush, scene, onBoard) {
  brush.globalAlpha = 0.26;
  for (const art of scene.art) {
    if (art.kind === "photo") image(brush, art, scene, onBoard, true);
  }
  brush.globalAlpha = 1;
  onBoard();
}

/** @param {CanvasRenderingContext2D} brush @param {Board} board @param {number} ratio */
function shadow(brush, board, ratio) {
  brush.save();
  brush.shadowColor = "rgb(60 40 10 / .45)";
  brush.shadowBlur = 9 * ratio;
  brush.shadowOffsetY = 3 * ratio;
  brush.fillStyle = "#c4aa7a";
  brush.fill(pathOf(board.trim));
  brush.restore();
}

/** What is printed beyond the trim is cut off: it lies under a veil of paper.
 * @param {CanvasRenderingContext2D} brush @param {Board} board */
function veil(brush, board) {
  brush.save();
  const beyond = new Path2D(board.bleed);
  beyond.addPath(pathOf(board.trim));
  brush.clip(beyond, "evenodd");
  brush.fillStyle = "rgb(250 246 236 / .42)";
  brush.fill(pathOf(board.bleed));
  brush.restore();
}

/** @param {CanvasRenderingContext2D} brush @param {Scene} scene @param {() => void} onBoard
 * @param {boolean} plain  the photo itself, not on wood */
function paintArt(brush, scene, onBoard, plain) {
  const inks = new Map(scene.inks.map((ink) => [ink.name, ink.srgb]));
  brush.globalCompositeOperation = plain ? "source-over" : "multiply";
  for (const art of scene.art) {
    if (art.kind === "photo") image(brush, art, scene, onBoard);
  }
  brush.globalCompositeOperation = "source-over";
  if (plain) return;
  for (const art of scene.art) {
    if (art.kind !== "photo") image(brush, art, scene, onBoard);
  }
  onBoard();
  for (const one of scene.drawn) {
    brush.fillStyle = css(inks.get(one.ink));
    brush.globalAlpha = one.tint;
    if (known.live.has(`${one.table} ${one.at}`)) paintMoved(brush, one, scene, onBoard);
    else if (one.path) brush.fill(pathOf(one.path), "evenodd");
  }
  brush.globalAlpha = 1;
}

/** @param {CanvasRenderingContext2D} brush @param {import("./types.js").SceneArt} art
 * @param {Scene} scene @param {() => void} onBoard
 * @param {boolean} [whole]  with what is cropped */
function image(brush, art, scene, onBoard, whole) {
  const bitmap = artPicture(art);
  if (!bitmap || !scene.board) return;
  const table = tableOf({ table: "art", at: art.order });
  const { x, y, w, h } = keptOf(table, art.whole);
  const placed = placedBy(table, [w, h], scene.board.bounds);
  onBoard();
  brush.transform(.../** @type {[number, number, number, number, number, number]} */ (
    matrixOf(placed)));
  const [wide, high] = art.whole;
  if (whole) return brush.drawImage(bitmap, -x, -y, wide, high);
  const [across, down] = [bitmap.width / wide, bitmap.height / high];
  brush.drawImage(bitmap, x * across, y * down, w * across, h * down, 0, 0, w, h);
}

/** What a hand moves of notes, lines and drawings, before the server has cut it anew.
 * @param {CanvasRenderingContext2D} brush @param {import("./types.js").Drawn} one
 * @param {Scene} scene @param {() => void} onBoard */
function paintMoved(brush, one, scene, onBoard) {
  const now = tableOf({ table: one.table, at: one.at });
  const was = known.job?.document[one.table]?.[one.at] ?? {};
  if (one.table === "track" || one.table === "plan") {
    brush.fill(pathOf(one.path), "evenodd");
    return;
  }
  if (one.table === "line") {
    const points = now.points.map((/** @type {any[]} */ p) => [mmOf(p[0]), mmOf(p[1])]);
    brush.strokeStyle = brush.fillStyle;
    brush.lineWidth = mmOf(now.width, 0.4);
    brush.lineCap = brush.lineJoin = "round";
    brush.stroke(courseOf(points, now.smooth === true));
    return;
  }
  if (one.table === "note") {
    const [from, to] = [placesOf(was), placesOf(now)];
    const [point, label] = [to.at, to.label];
    brush.strokeStyle = brush.fillStyle;
    brush.lineWidth = mmOf(now.leader, 0.4);
    brush.beginPath();
    brush.moveTo(...point);
    brush.lineTo(...label);
    brush.stroke();
    brush.translate(label[0] - from.label[0], label[1] - from.label[1]);
    brush.fill(pathOf(one.path), "evenodd");
    onBoard();
    return;
  }
  const page = scene.pages[String(one.at)]?.size;
  if (!page || !scene.board || !one.path) return;
  const before = matrixOf(placedBy(was, page, scene.board.bounds));
  const after = matrixOf(placedBy(now, page, scene.board.bounds));
  const step = new DOMMatrix(after).multiply(new DOMMatrix(before).inverse());
  brush.transform(step.a, step.b, step.c, step.d, step.e, step.f);
  brush.fill(pathOf(one.path), "evenodd");
  onBoard();
}

/** Where a note's point and the middle of its lettering lie. @param {any} note */
export function placesOf(note) {
  /** @type {import("./types.js").Point} */
  const at = [mmOf(note.at?.[0], 0), mmOf(note.at?.[1], 0)];
  /** @type {import("./types.js").Point} */
  const label = note.label_at ? [mmOf(note.label_at[0]), mmOf(note.label_at[1])]
    : note.label_offset ? [at[0] + mmOf(note.label_offset[0]), at[1] + mmOf(note.label_offset[1])]
      : at;
  return { at, label };
}
