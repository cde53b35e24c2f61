/** What lies on the board, and the figures of what is in the hand, in sentences. */

import { addFile, addedComplainTo, PICTURES } from "./added_files.js";
import { artFigures } from "./art_figures.js";
import { button, fill, make, part } from "./dom.js";
import { edit, editsTo } from "./edits.js";
import { askTaps, bringNear } from "./bench.js";
import { choose, moveByTaps, nudge, removeHeld, scaleHeld, turnHeld } from "./held.js";
import { drawLine, writeNote } from "./drawing.js";
import { landmarksTold } from "./landmarks.js";
import { keysTold, legend } from "./legend.js";
import { nameOf, things } from "./outlines.js";
import { hears, keyOf, known, same, tableOf } from "./store.js";
import { choice, field, fieldPair, words } from "./fields.js";
import { trackFigures } from "./track_figures.js";

/** @typedef {import("./types.js").Thing} Thing */
/** @typedef {import("./types.js").Table} Table */

const sheet = part("things");
let drawnFor = "";
/** Figures follow a moving hand this late (ms): laid out in each frame they would cost most of it. */
const FIGURES_AFTER = 150;
let late = 0;

function draw() {
  const { job, chosen } = known;
  if (!job) return;
  // While a hand moves only its figures change.
  const key = JSON.stringify([job.revision, chosen, known.cropping, known.live.size ? [...known.live] : 0]);
  if (key === drawnFor) return;
  drawnFor = key;
  fill(sheet, make("h2", { id: "things-head", text: "On the board" }), list(), adding(),
    ...(chosen ? held(chosen) : [make("p", { class: "hint" },
      "Touch something on the board, or choose it here, to take it in hand: then drag it, turn "
      + "the wheel to scale it, or type its figures. Escape puts it down again.")]),
  ...landmarksTold(() => {
    drawnFor = "";
    draw();
  }), legend(), keysTold());
}

function list() {
  const inks = new Map(known.job?.scene.inks.map((ink) => [ink.name, ink.srgb]));
  return make("ul", { class: "lying" }, ...things().reverse().map((thing) => {
    const table = tableOf(thing);
    const srgb = inks.get(table.ink);
    const chip = make("span", { class: srgb ? "chip" : `chip ${table.kind ?? "photo"}` });
    if (srgb) chip.style.backgroundColor = `rgb(${srgb.join(" ")})`;
    return make("li", {}, make("button", {
      type: "button", class: "thing", "aria-pressed": String(same(thing, known.chosen)),
      "data-key": `thing ${keyOf(thing)}`,
      onclick: () => choose(same(thing, known.chosen) ? null : thing),
    }, chip, make("span", { text: sentenceCase(nameOf(thing)) })));
  }));
}

/** @param {string} words_ */
const sentenceCase = (words_) => words_.charAt(0).toUpperCase() + words_.slice(1);

function adding() {
  const file = make("input", { type: "file", class: "unseen", tabindex: -1, "aria-hidden": "true",
    accept: `${PICTURES},.pdf,.svg`, onchange: () => {
      const [one] = file.files ?? [];
      if (one) void addFile(one);
      file.value = "";
    } });
  return make("div", { class: "row" }, file,
    button("Add a picture or drawing…", () => file.click()),
    button("Write a note", writeNote), button("Draw a line", drawLine));
}

/** @param {Thing} thing @returns {Node[]} */
function held(thing) {
  const table = tableOf(thing);
  const set = (/** @type {Table} */ now, /** @type {string} */ what) => edit(
    editsTo(thing, now), `${what} of the ${nameOf(thing)}`);
  const parts = thing.table === "art" ? artFigures(thing, table, set)
    : thing.table === "note" ? noteFigures(table, set)
      : thing.table === "track" ? trackFigures(table, set) : lineFigures(table, set);
  const moves = thing.table !== "track";
  return [make("h3", { text: sentenceCase(nameOf(thing)) }), ...parts, ...(moves ? [steps(thing)] : []),
    make("div", { class: "row" },
      button("Bring it near", () => near(thing)),
      moves && button("Move it by taps", moveByTaps),
      button("Take it off", removeHeld, { class: "away" }),
      button("Put it down", () => choose(null)))];
}

/** @param {Thing} thing */
function near(thing) {
  const boxes = known.job?.scene.drawn.filter((one) => one.table === thing.table
    && one.at === thing.at && one.bounds.length).map((one) => one.bounds) ?? [];
  if (boxes.length) bringNear([0, 1, 2, 3].map((n) => (n < 2 ? Math.min : Math.max)(
    ...boxes.map((box) => box[n]))));
  else if (known.job?.scene.board) bringNear(known.job.scene.board.bounds);
  askTaps(null);
}

/** Steps without a drag. @param {Thing} thing */
function steps(thing) {
  const ways = /** @type {[string, [number, number], string][]} */ ([
    ["←", [-1, 0], "left"], ["→", [1, 0], "right"], ["↑", [0, -1], "up"], ["↓", [0, 1], "down"]]);
  const moves = ways.map(([sign, way, name]) => button(sign, () => nudge(way, 1),
    { "aria-label": `Move it 1 mm ${name}`, class: "small" }));
  const scale = [button("−", () => scaleHeld(1 / 1.01), { "aria-label": "Make it 1 % smaller",
    class: "small" }), button("+", () => scaleHeld(1.01), { "aria-label": "Make it 1 % larger",
    class: "small" })];
  const turn = thing.table === "line" ? [] : [
    button("↺", () => turnHeld(1), { "aria-label": "Turn it 1° anticlockwise", class: "small" }),
    button("↻", () => turnHeld(-1), { "aria-label": "Turn it 1° clockwise", class: "small" })];
  const set = (/** @type {string} */ label, /** @type {Node[]} */ parts) => make("span", {
    class: "set" }, make("span", { class: "label", text: label }), ...parts);
  return make("div", { class: "row steps" }, set("1 mm", moves), set("1 %", scale),
    turn.length ? set("1°", turn) : null);
}

/** @typedef {(now: Table, what: string) => Promise<boolean>} Set */

/** @param {Table} table @param {Set} set @returns {Node[]} */
function noteFigures(table, set) {
  const inks = known.job?.scene.inks.map((ink) => ink.name) ?? [];
  const with_ = (/** @type {string} */ key) => (/** @type {any} */ value) =>
    set({ ...table, [key]: value }, key.replace("_", " "));
  const size = table.type_size !== undefined ? "type_size" : "cap_height";
  const label = table.label_at !== undefined ? "label_at" : "label_offset";
  return [
    make("label", { class: "wide" }, "Its words", make("input", { type: "text", value: table.text,
      maxlength: 120, "data-key": "note text", onchange: (/** @type {Event} */ event) => {
        const { value } = /** @type {HTMLInputElement} */ (event.target);
        if (value.trim()) void with_("text")(value.trim());
      } })),
    words("It points to ", fieldPair("point", table.at, with_("at")),
      " (towards the nose, to the left); its lettering lies ",
      fieldPair("lettering", table[label] ?? ["0 mm", "0 mm"], with_(label)),
      label === "label_at" ? " on the board." : " from there."),
    words("Capitals are ", field(size === "type_size" ? "type size" : "cap height",
      table[size] ?? "3 mm", with_(size)), " high, turned ", field("turn",
      `${table.turn ?? 90}°`, (value) => with_("turn")(Number.parseFloat(value) || 0)),
    ", in ", choice("ink", table.ink, Object.fromEntries(inks.map((ink) => [ink, ink])),
      with_("ink")), "; it ", choice("beneath", table.beneath ?? "knock out",
      { "knock out": "knocks out what is beneath", overprint: "prints over what is beneath" },
      with_("beneath")), "."),
    words("Its line is ", field("leader", table.leader ?? "0.4 mm", with_("leader")),
      " wide, the dot at its end ", field("dot", table.dot ?? "1.2 mm", with_("dot")), "."),
  ];
}

/** @param {Table} table @param {Set} set @returns {Node[]} */
function lineFigures(table, set) {
  const inks = known.job?.scene.inks.map((ink) => ink.name) ?? [];
  const with_ = (/** @type {string} */ key) => (/** @type {any} */ value) => {
    const { [key]: _, ...rest } = table;
    return set(value === undefined ? rest : { ...rest, [key]: value }, key.replace("_", " "));
  };
  const dashes = (/** @type {string} */ value) => {
    const parts = value.split(/[,;]/).map((one) => one.trim()).filter(Boolean);
    return with_("dashes")(parts.length ? parts : undefined);
  };
  const size = table.type_size !== undefined ? "type_size" : "cap_height";
  return [
    words(`Through ${table.points.length} points it runs `, choice("smooth",
      String(table.smooth === true), { true: "in a smooth curve", false: "straight from each to the next" },
      (value) => with_("smooth")(value === "true")), ", ",
    field("width", table.width ?? "0.4 mm", with_("width")), " wide, in ",
    choice("ink", table.ink, Object.fromEntries(inks.map((ink) => [ink, ink])), with_("ink")), "; it ",
    choice("beneath", table.beneath ?? "knock out", { "knock out": "knocks out what is beneath",
      overprint: "prints over what is beneath" }, with_("beneath")), "."),
    words("Dashes and gaps ", field("dashes", (table.dashes ?? []).join(", ") || "none", (value) =>
      dashes(value === "none" ? "" : value)), "; an arrow of ", field("arrow",
      table.arrow ?? "0 mm", with_("arrow")), " at its end."),
    make("label", { class: "wide" }, "A name along it", make("input", { type: "text",
      value: table.name ?? "", maxlength: 120, "data-key": "line name",
      onchange: (/** @type {Event} */ event) => {
        const { value } = /** @type {HTMLInputElement} */ (event.target);
        void with_("name")(value.trim() || undefined);
      } })),
    ...(table.name ? [words("The name stands ", choice("name stands", table.name_stands ?? "above",
      { above: "above the line", on: "on the line", below: "below the line" },
      with_("name_stands")), " at ", field("name at", table.name_at ?? "50 %", with_("name_at")),
    " of its length, capitals ", field(size === "type_size" ? "type size" : "cap height",
      table[size] ?? "3 mm", with_(size)), " high.")] : []),
  ];
}

/** Begin. @param {(sentence: string) => void} show  what goes wrong */
export function startThings(show) {
  addedComplainTo(show);
  hears(["job", "chosen"], draw);
  hears(["live"], () => {
    late ||= window.setTimeout(() => {
      late = 0;
      draw();
    }, known.live.size ? FIGURES_AFTER : 0);
  });
}
