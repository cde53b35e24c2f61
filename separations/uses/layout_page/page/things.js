/** What lies on the board, and the figures of what is in the hand, in sentences. */

import { artistsHand } from "./artists_hand.js";
import { button, fill, make, part } from "./dom.js";
import { edit, editsTo } from "./edits.js";
import { askTaps, bringNear } from "./bench.js";
import { choose, cropHeld, moveByTaps, nudge, removeHeld, scaleHeld, turnHeld } from "./held.js";
import { drawLine, writeNote } from "./drawing.js";
import { artPlaced, nameOf, things } from "./outlines.js";
import { covers, rangeOf } from "./placing.js";
import { hears, keyOf, known, same, tableOf } from "./store.js";
import { told } from "./units.js";
import { handedOver } from "./server.js";
import { choice, field, fieldPair, words, yesNo } from "./fields.js";

/** @typedef {import("./types.js").Thing} Thing */
/** @typedef {import("./types.js").Table} Table */

/** @type {(sentence: string) => void} */
let complain = () => {};
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
      + "the wheel to scale it, or type its figures.")]));
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
    accept: ".jpg,.jpeg,.png,.tif,.tiff,.webp,.svg", onchange: () => {
      const [one] = file.files ?? [];
      if (one) void addFile(one);
      file.value = "";
    } });
  return make("div", { class: "row" }, file,
    button("Add a picture or drawing…", () => file.click()),
    button("Write a note", writeNote), button("Draw a line", drawLine));
}

/** Take a file into the job's folder and lay it on the board. @param {File} file */
export async function addFile(file) {
  try {
    complain(`Taking ${file.name} into the job's folder…`);
    const got = await handedOver(file);
    complain("");
    if (got.kind === "outline") {
      await edit([{ set: ["board", "outline"], to: got.name },
        ...["length", "contact_length", "nose_width", "waist_width", "tail_width", "taper",
          "setback", "nose_shape", "tail_shape"].filter((key) =>
          key in (known.job?.document.board ?? {})).map((key) => ({ unset: ["board", key] }))],
      `took the outline from ${got.name}`);
      return;
    }
    if (got.kind !== "picture" && got.kind !== "drawing") return;
    const darkest = [...(known.job?.scene.inks ?? [])].sort((a, b) =>
      a.srgb[0] + a.srgb[1] + a.srgb[2] - b.srgb[0] - b.srgb[1] - b.srgb[2])[0];
    /** @type {Table} */
    const keys = got.kind === "drawing"
      ? { file: got.name, kind: "line", ink: darkest?.name, place: "scale",
        width: `${Math.round(Math.min(got.px[0], 400) * 10) / 10} mm`, turn: 90 }
      : { file: got.name, kind: "photo", place: "fill", turn: got.px[0] > got.px[1] ? 90 : 0 };
    const at = known.job?.document.art.length ?? 0;
    if (await edit([{ add: "art", keys }], `added ${got.name}`)) choose({ table: "art", at });
  } catch (fault) {
    complain(/** @type {Error} */ (fault).message);
  }
}

/** @param {Thing} thing @returns {Node[]} */
function held(thing) {
  const table = tableOf(thing);
  const set = (/** @type {Table} */ now, /** @type {string} */ what) => edit(
    editsTo(thing, now), `${what} of the ${nameOf(thing)}`);
  const parts = thing.table === "art" ? artFigures(thing, table, set)
    : thing.table === "note" ? noteFigures(table, set) : lineFigures(table, set);
  return [make("h3", { text: sentenceCase(nameOf(thing)) }), ...parts, steps(thing),
    make("div", { class: "row" },
      button("Bring it near", () => near(thing)),
      button("Move it by taps", moveByTaps),
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

/** @param {Thing} thing @param {Table} table @param {Set} set @returns {Node[]} */
function artFigures(thing, table, set) {
  const inks = known.job?.scene.inks.map((ink) => ink.name) ?? [];
  const with_ = (/** @type {string} */ key) => (/** @type {any} */ value) =>
    set({ ...table, [key]: value }, key.replace("_", " "));
  const place = (/** @type {string} */ how) => {
    const { width: _w, resolution: _r, ...rest } = table;
    if (how !== "scale") return set({ ...rest, place: how }, "place");
    const placed = artPlaced(thing);
    const mm = placed ? placed.px[0] * placed.scale : 100;
    return set({ ...rest, place: how, width: `${Math.round(mm * 10) / 10} mm` }, "place");
  };
  /** @type {Node[]} */
  const parts = [];
  const art = known.job?.scene.art.find((one) => one.order === thing.at);
  const placed = artPlaced(thing);
  if (art && placed) {
    parts.push(words(`${art.px[0]} × ${art.px[1]} pixels, ${Math.round(25.4 / placed.scale)} to `
      + "the inch as it lies."));
  }
  if (table.file || table.kind === "photo") {
    parts.push(words("It ", choice("place", table.place ?? "fill", { fill: "fills the board",
      fit: "is fitted whole", scale: "has its own size" }, place),
    ...(table.place === "scale" ? [": ", table.resolution !== undefined
      ? field("resolution", table.resolution, with_("resolution"))
      : field("width", table.width, with_("width")),
    table.resolution !== undefined ? "." : " along its rows."] : ["."])));
    parts.push(words("It lies ", field("offset along", table.offset_along ?? "0 mm",
      with_("offset_along")), " towards the nose and ", field("offset across",
      table.offset_across ?? "0 mm", with_("offset_across")),
    " to the left of the middle, turned ", field("turn", `${table.turn ?? 0}°`, (value) =>
      with_("turn")(Number.parseFloat(value) || 0)), " and ",
    choice("flip", table.flip ?? "none", { none: "not mirrored", across: "mirrored across",
      along: "mirrored along" }, with_("flip")), "."));
  }
  if (art) parts.push(cropTold(table, set));
  if (table.kind === "line" || table.kind === "flat") {
    parts.push(words(table.colours ? "Its colours go to inks of their own, and it "
      : "It is printed in ", ...(table.colours ? [] : [choice("ink", table.ink ?? "",
      Object.fromEntries(inks.map((ink) => [ink, ink])), with_("ink")), " and "]),
    choice("beneath", table.beneath ?? "knock out", { "knock out": "knocks out what is beneath",
      overprint: "prints over what is beneath" }, with_("beneath")), "."));
  } else if (placed && art) parts.push(artistsHand(table, set), rangeTold(placed, art.fill), words(yesNo("fill edges",
    table.fill_edges === true, "repeat its edge pixels over the bleed", with_("fill_edges"))));
  const count = known.job?.document.art.length ?? 0;
  if (count > 1) {
    const shift = (/** @type {number} */ to, /** @type {string} */ way) => () => edit([
      { move: "art", at: thing.at, to }], `laid the ${nameOf(thing)} ${way}`).then((done) => {
      if (done) choose({ table: "art", at: to });
    });
    parts.push(make("div", { class: "row" },
      button("Lay it higher", shift(thing.at + 1, "higher"), { disabled: thing.at >= count - 1 }),
      button("Lay it lower", shift(thing.at - 1, "lower"), { disabled: thing.at <= 0 })));
  }
  return parts;
}

/** What is cut off of a picture. @param {Table} table @param {Set} set */
function cropTold(table, set) {
  const side = (/** @type {string} */ name) => field(`crop ${name}`, table[`crop_${name}`] ?? "0 %",
    (value) => {
      const { [`crop_${name}`]: _, ...rest } = table;
      return set(Number.parseFloat(value) === 0 ? rest : { ...rest, [`crop_${name}`]: value },
        `crop ${name}`);
    });
  return words("Cut off of it: ", side("left"), " at its left, ", side("right"), " right, ",
    side("top"), " top, ", side("bottom"), " bottom. ",
    button("Crop by hand", cropHeld, { "aria-pressed": String(known.cropping), class: "small" }));
}

/** How far a photo may still go. @param {import("./placing.js").Placed} placed
 * @param {number} fillMm */
function rangeTold(placed, fillMm) {
  const board = known.job?.scene.board;
  if (!board) return make("p");
  const range = rangeOf(placed, board.hull, fillMm);
  if (!covers(range)) return words(make("strong", { text: "It does not cover the bleed." }),
    " The dashed frame on the board, if there is one, is where its middle would have to lie.");
  const [u, v] = [range.u, range.v].map(([low, high]) => told(high - low));
  return words(`It covers the bleed, with ${u} to spare along its rows and ${v} along its `
    + "columns: its middle may lie anywhere in the dashed frame.");
}

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
    words("It tells of the point ", fieldPair("point", table.at, with_("at")),
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
      String(table.smooth === true), { true: "in a smooth bend", false: "straight from each to the next" },
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
  complain = show;
  hears(["job", "chosen"], draw);
  hears(["live"], () => {
    late ||= window.setTimeout(() => void (late = 0, draw()), known.live.size ? FIGURES_AFTER : 0);
  });
}
