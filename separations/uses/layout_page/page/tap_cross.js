/** Taps without a pointer: a cross that the arrow keys move and the space bar presses. */

import { tapsAsked, view } from "./bench.js";
import { part } from "./dom.js";
import { say } from "./held.js";
import { hears } from "./store.js";

/** @typedef {import("./types.js").Point} Point */

/** How far an arrow key moves it, and with Shift (px). */
const STEP = 12;
const FINE = 1;
/** Where it stands on the board (mm). @type {Point | null} */
let at = null;
let wasAsked = false;

/**
 * What a key does while the bench waits for a tap.
 * @param {KeyboardEvent} event
 * @param {Point | undefined} way  of an arrow key
 * @returns {boolean}  whether it was for the cross
 */
export function crossKey(event, way) {
  const asked = tapsAsked();
  if (!asked || !(way || event.key === " " || event.key === "Enter")) return false;
  event.preventDefault();
  const place = at ?? view.toBoard([view.width / 2, view.height / 2]);
  at = place;
  if (way) {
    const px = event.shiftKey ? FINE : STEP;
    const [dx, dy] = view.byBoard([way[0] * px, way[1] * px]);
    const [x0, y0, x1, y1] = view.sight;
    at = [Math.min(Math.max(place[0] + dx, x0), x1), Math.min(Math.max(place[1] + dy, y0), y1)];
  } else asked.tap(place);
  lay();
  return true;
}

/** Lay the cross where it stands, and say where that is. */
function lay() {
  const cross = part("cross");
  cross.hidden = !at;
  if (!at) return;
  const [x, y] = view.toWindow(at);
  cross.style.left = `${x}px`;
  cross.style.top = `${y}px`;
  const [along, across] = at.map((mm) => Math.round(Math.abs(mm)));
  say(`The cross stands ${along} mm towards the ${at[0] < 0 ? "tail" : "nose"}, ${across} mm to the ${
    at[1] < 0 ? "right" : "left"}.`);
}

/** Begin. */
export function startTapCross() {
  hears(["chosen"], () => {
    const asked = !!tapsAsked();
    if (asked && !wasAsked) part("table").focus({ preventScroll: true });
    wasAsked = asked;
    if (!asked && at) {
      at = null;
      lay();
    }
  });
  hears(["shown"], () => {
    if (at) lay();
  });
}
