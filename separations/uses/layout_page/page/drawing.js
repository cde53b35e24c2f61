/** Notes and lines put on the board by taps. */

import { darkestInk, lightestInk } from "./art_figures.js";
import { askTaps, view } from "./bench.js";
import { edit } from "./edits.js";
import { choose } from "./held.js";
import { typeInPlace } from "./lettering.js";
import { jobUnit } from "./moving.js";
import { draw, part } from "./dom.js";
import { isDark } from "./pictures.js";
import { hears, known } from "./store.js";
import { courseTold } from "./course.js";
import { lengthIn } from "./units.js";

/** @typedef {import("./types.js").Point} Point */

/** How to tap without a pointer. */
const BY_KEYS = ", or move a cross there by the arrow keys and press the space bar";
/** @type {Point[]} */
let points = [];

/** @param {Point} place */
const written = (place) => place.map((mm) => lengthIn(Math.round(mm * 10) / 10, jobUnit()));

/** The ink that new lettering and lines take: that of the last, or the one that the print there
 * lets stand out. @param {Point} place */
function usualInk(place) {
  const document = known.job?.document ?? {};
  const last = [...(document.note ?? []), ...(document.line ?? [])].pop()?.ink;
  return last ?? (isDark(place) ? lightestInk() : darkestInk()) ?? "";
}

/** How far a new note's words lie from its place (mm): far enough that each can be taken in hand. */
const wordsOff = () => Math.max(14, Math.round(60 / view.scale));

/** Write a note where the next tap says. */
export function writeNote() {
  choose(null);
  askTaps({ words: `Tap the place that the note tells of${BY_KEYS}.`, tap: (place) => {
    askTaps(null);
    const at = known.job?.document.note?.length ?? 0;
    void edit([{ add: "note", keys: { text: "New note", at: written(place),
      label_offset: ["0 mm", lengthIn(wordsOff(), jobUnit())], ink: usualInk(place) } }],
    "wrote a note").then((done) => {
      if (!done) return;
      choose({ table: "note", at });
      typeInPlace({ table: "note", at });
    });
  } });
}

/** Draw a line through the next taps. */
export function drawLine() {
  choose(null);
  points = [];
  const end = () => {
    const taken = points;
    askTaps(null);
    if (taken.length < 2) return;
    const at = known.job?.document.line?.length ?? 0;
    void edit([{ add: "line", keys: { points: taken.map(written), ink: usualInk(taken[0]), smooth: true,
      width: "0.6 mm" } }], "drew a line").then((done) => {
      if (done) choose({ table: "line", at });
    });
  };
  askTaps({
    words: `Tap where the line begins${BY_KEYS}.`,
    tap: (place) => {
      const last = points[points.length - 1];
      const near = last && Math.hypot(place[0] - last[0], place[1] - last[1]) * view.scale < 8;
      if (near && points.length > 1) return end();
      if (!near) points.push(place);
      show();
      part("asking").replaceChildren(points.length > 1
        ? "Tap its next point; tap the last one again, or Enter, ends it. " : "Tap its next point.");
      if (points.length > 1) part("asking").append(endButton(end));
    },
    stop: () => {
      points = [];
      show();
    },
  });
}

/** @param {() => void} end */
function endButton(end) {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = "End the line";
  made.addEventListener("pointerdown", (event) => event.stopPropagation());
  made.addEventListener("click", end);
  return made;
}

/** The line so far, over everything. */
function show() {
  const over = part("over");
  over.querySelector(".sketch")?.remove();
  if (!points.length) return;
  const px = points.map((place) => view.toWindow(place));
  const group = draw("g", { class: "sketch" }, draw("path", { d: courseTold(px, true) }),
    ...px.map(([x, y]) => draw("circle", { cx: x, cy: y, r: 4 })));
  over.append(group);
}

/** Begin. */
export function startDrawing() {
  hears(["job", "live", "chosen", "shown", "found"], () => requestAnimationFrame(show));
  document.addEventListener("keydown", (event) => {
    if (event.key === "Enter" && points.length > 1) {
      event.preventDefault();
      event.stopImmediatePropagation();
      part("asking").querySelector("button")?.click();
    }
  }, true);
}
