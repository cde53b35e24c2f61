/** The bench by keyboard alone. */

import { askTaps, tapsAsked, wholeBoard } from "./bench.js";
import { redo, save, undo } from "./edits.js";
import { addPoint, choose, keepFocus, nudge, removeHeld, scaleHeld, settle, turnHeld } from "./held.js";
import { grips } from "./outlines.js";
import { part } from "./dom.js";
import { keyOf, known, same, tell } from "./store.js";
import { crossKey } from "./tap_cross.js";
import { typeInPlace } from "./lettering.js";

/** @typedef {import("./types.js").Point} Point */

const table = part("table");
let spaceDown = false;
/** @type {Record<string, Point>} */
const WAYS = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

/** @param {KeyboardEvent} event */
function key(event) {
  const target = /** @type {HTMLElement} */ (event.target);
  const typing = target.matches?.("input, select, textarea");
  if (event.ctrlKey || event.metaKey) {
    const name = event.key.toLowerCase();
    const act = { z: event.shiftKey ? redo : undo, y: redo, s: save }[name];
    if (!act || (typing && name !== "s")) return;
    event.preventDefault();
    settle();
    void act();
    return;
  }
  if (typing || target.closest("dialog")) return;
  const onBench = target === document.body || target === table;
  // In the list, too, keys act on what is in the hand.
  const listed = !!known.chosen
    && target.closest(".thing")?.getAttribute("data-key") === `thing ${keyOf(known.chosen)}`;
  if (onBench && crossKey(event, WAYS[event.key])) return;
  const grip = grips.get(target);
  if (grip && (event.key === "Enter" || event.key === " ")) {
    event.preventDefault();
    if (grip.part === "between") {
      const [p, box] = [target.getBoundingClientRect(), table.getBoundingClientRect()];
      addPoint(grip, [p.x + p.width / 2 - box.left, p.y + p.height / 2 - box.top - table.clientTop]);
    } else if (same(grip.thing, known.chosen) && grip.thing.table !== "art") {
      typeInPlace(grip.thing);
    } else {
      choose(grip.thing);
      requestAnimationFrame(() => requestAnimationFrame(() => /** @type {SVGElement | null} */ (
        part("over").querySelector(".grip.move, .grip.point"))?.focus()));
    }
    return;
  }
  const way = WAYS[event.key];
  if (way && known.chosen && (grip || onBench || listed)) {
    event.preventDefault();
    if (grip?.part === "turn") turnHeld((way[0] - way[1] > 0 ? -1 : 1) * (event.shiftKey ? 0.1 : 1));
    else nudge(way, event.shiftKey ? 0.1 : 1);
    return;
  }
  if (event.key === " " && target === document.body) {
    event.preventDefault();
    spaceDown = true;
  } else if (event.key === "Escape") {
    if (tapsAsked()) askTaps(null);
    else choose(null);
    if (grip) keepFocus(); // the grip is gone
  } else if (!(grip || listed || target === table)) {
    return; // single letters act where the focus says so: WCAG 2.2, 2.1.4
  } else if (event.key === "Delete" || event.key === "Backspace") {
    removeHeld();
    if (grip) table.focus({ preventScroll: true }); // the grip goes when the server has it
  }
  else if (event.key === "+" || event.key === "=") scaleHeld(1.01);
  else if (event.key === "-") scaleHeld(1 / 1.01);
  else if (event.key === "[") turnHeld(1);
  else if (event.key === "]") turnHeld(-1);
  else if (event.key === "0") wholeBoard();
  else if (event.key.toLowerCase() === "p" && !event.repeat) showPhoto(true);
}

/** @param {boolean} on  whether the photo itself is shown */
export function showPhoto(on) {
  if (known.photo === on) return;
  known.photo = on;
  tell("shown");
}


/** Whether the space bar is held: then a drag slides the view. */
export const spaceIsDown = () => spaceDown;

/** Begin. */
export function startKeys() {
  document.addEventListener("keydown", key);
  document.addEventListener("keyup", (event) => {
    if (event.key === " ") spaceDown = false;
    if (event.key.toLowerCase() === "p") showPhoto(false);
  });
  addEventListener("blur", () => {
    spaceDown = false;
    showPhoto(false);
  });
}
