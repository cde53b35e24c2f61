/** Words typed where they stand on the board: a note's own, or the name along a line. */

import { view } from "./bench.js";
import { make, part } from "./dom.js";
import { edit, editsTo } from "./edits.js";
import { nameOf } from "./outlines.js";
import { placesOf } from "./paint.js";
import { hears, tableOf } from "./store.js";
import { mmOf } from "./units.js";

/** @typedef {import("./types.js").Point} Point */
/** @typedef {import("./types.js").Thing} Thing */

const place = part("typing");
/** @type {Thing | null} */
let typed = null;

/** Where a thing's words stand. @param {Thing} thing @returns {Point} */
function middleOf(thing) {
  const table = tableOf(thing);
  if (thing.table === "note") return placesOf(table).label;
  const [x, y] = table.points[Math.floor((table.points.length - 1) / 2)];
  return [mmOf(x), mmOf(y)];
}

/** Type the words of a note or a line on the board itself. @param {Thing} thing */
export function typeInPlace(thing) {
  const key = thing.table === "note" ? "text" : "name";
  const before = String(tableOf(thing)[key] ?? "");
  typed = thing;
  const input = make("input", { type: "text", class: "lettering", value: before, maxlength: 120,
    "aria-label": key === "text" ? "Words of the note" : "Name along the line",
    "data-key": "lettering", autocomplete: "off", spellcheck: "false", size: 18 });
  const end = (/** @type {boolean} */ keep) => {
    if (typed !== thing || !input.isConnected) return;
    typed = null;
    place.replaceChildren();
    const now = input.value.trim();
    if (!keep || now === before || (!now && key === "text")) return;
    const { [key]: _, ...rest } = tableOf(thing);
    void edit(editsTo(thing, now ? { ...rest, [key]: now } : rest), `words of the ${nameOf(thing)}`);
  };
  input.addEventListener("blur", () => end(true));
  input.addEventListener("keydown", (event) => {
    event.stopPropagation();
    if (event.key === "Enter") end(true);
    if (event.key === "Escape") end(false);
    if (event.key === "Enter" || event.key === "Escape") part("table").focus({ preventScroll: true });
  });
  place.replaceChildren(input);
  lay();
  input.focus({ preventScroll: true });
  input.select();
}

/** Lay the field over the words, as far as it is in sight. */
function lay() {
  const input = /** @type {HTMLInputElement | null} */ (place.firstElementChild);
  if (!input || !typed) return;
  const [x, y] = view.toWindow(middleOf(typed));
  const [w, h] = [input.offsetWidth, input.offsetHeight];
  input.style.left = `${Math.min(Math.max(x - w / 2, 4), Math.max(4, view.width - w - 4))}px`;
  input.style.top = `${Math.min(Math.max(y - h / 2, 4), Math.max(4, view.height - h - 4))}px`;
}

/** Begin. */
export function startLettering() {
  hears(["shown", "job", "live"], lay);
}
