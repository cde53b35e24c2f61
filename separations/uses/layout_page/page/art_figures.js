/** The figures of a picture, a drawing or a page in the hand, in sentences. */

import { artistsHand } from "./artists_hand.js";
import { button, make } from "./dom.js";
import { edit } from "./edits.js";
import { choice, field, words, yesNo } from "./fields.js";
import { choose, cropHeld, say } from "./held.js";
import { artPlaced, nameOf } from "./outlines.js";
import { covers, rangeOf } from "./placing.js";
import { known } from "./store.js";
import { told } from "./units.js";

/** @typedef {import("./types.js").Thing} Thing */
/** @typedef {import("./types.js").Table} Table */
/** @typedef {(now: Table, what: string) => Promise<boolean>} Set */

/** Boxes of a PDF's page, as the job file and ISO 32000 call them. */
export const BOXES = Object.fromEntries(["crop box", "media box", "bleed box", "trim box", "art box"]
  .map((name) => [name, name]));
const KINDS = /** @type {Record<string, string>} */ ({ photo: "a photo", line: "line work",
  flat: "a flat colour" });
/** Keys that a photo alone has, and those that line work and flats alone have. */
const OF_PHOTOS = ["opacity", "exposure", "contrast", "saturation", "curve", "grey", "fill_edges",
  "bare_wood_around"];
const OF_LINES = ["ink", "colours", "tint", "beneath", "white_beneath", "font"];

/** What a file may be taken as. @param {string} file */
function kindsOf(file) {
  const kinds = /\.svg$/i.test(file) ? ["line", "flat"] : /\.pdf$/i.test(file)
    ? ["photo", "line", "flat"] : ["photo", "line"];
  return Object.fromEntries(kinds.map((kind) => [kind, KINDS[kind]]));
}

/** The job's inks from the darkest on. */
function inksByLight() {
  const bright = (/** @type {number[]} */ srgb) => srgb[0] + srgb[1] + srgb[2];
  return [...(known.job?.scene.inks ?? [])].sort((a, b) => bright(a.srgb) - bright(b.srgb));
}

/** The darkest of the job's inks. */
export const darkestInk = () => inksByLight()[0]?.name;

/** The lightest of them. */
export const lightestInk = () => inksByLight().pop()?.name;

/** A table as that of another kind of art: without what the other does not have.
 * @param {Table} table @param {string} kind @returns {Table} */
function asKind(table, kind) {
  const drawn = kind !== "photo" && /\.(svg|pdf)$/i.test(table.file);
  const left = new Set([...(kind === "photo" ? OF_LINES : OF_PHOTOS), ...(drawn ? ["crop_left",
    "crop_right", "crop_top", "crop_bottom"] : ["tint"])]);
  const kept = Object.fromEntries(Object.entries(table).filter(([key]) => !left.has(key)));
  return { ...kept, kind, ...(kind === "photo" || table.ink || table.colours ? {}
    : { ink: darkestInk() }) };
}

/** Which page of a PDF it is. @param {Table} table
 * @param {{page?: number, pages?: number, mm?: [number, number]}} page @param {Set} set */
function pageTold(table, page, set) {
  const [wide, high] = (page.mm ?? [0, 0]).map((mm) => Math.round(mm * 10) / 10);
  const put = (/** @type {string} */ key, /** @type {any} */ value) => {
    const { [key]: _, ...rest } = table;
    return set(value === undefined ? rest : { ...rest, [key]: value }, key.replace("_", " "));
  };
  return words(...(page.pages === 1 ? ["Its one page"] : ["Page ", field("page", page.page ?? 1,
    (value) => {
      const number = Number(value);
      const there = Number.isInteger(number) && number >= 1 && number <= (page.pages ?? 1);
      if (!there) say(`It has pages 1 to ${page.pages}.`);
      return there && put("page", number);
    }), ` of ${page.pages}`]), " is read to its ",
  choice("page box", table.page_box ?? "crop box", BOXES, (value) => put("page_box",
    value === "crop box" ? undefined : value)), `, ${wide} × ${high} mm.`);
}

/** @param {Thing} thing @param {Table} table @param {Set} set @returns {Node[]} */
export function artFigures(thing, table, set) {
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
  const page = known.job?.scene.pages[String(thing.at)];
  const placed = artPlaced(thing);
  if (art && placed && !page) {
    parts.push(words(`${art.px[0]} × ${art.px[1]} pixels, ${Math.round(25.4 / placed.scale)} to `
      + "the inch as it lies."));
  }
  if (table.file) parts.push(words("It is taken as ", choice("kind", table.kind ?? "photo",
    kindsOf(table.file), (kind) => set(asKind(table, kind), "kind")), "."));
  if (page?.pages) parts.push(pageTold(table, page, set));
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
      overprint: "prints over what is beneath" }, with_("beneath")),
    ...(page || !table.file ? [", at ", field("tint", table.tint ?? "100 %", (value) => {
      const { tint: _, ...rest } = table;
      return set(Number.parseFloat(value) === 100 ? rest : { ...rest, tint: value }, "tint");
    }), " tint"] : []), "."));
  } else if (placed && art) parts.push(artistsHand(table, set), rangeTold(placed, art.fill), ...takingAlong(), words(yesNo("fill edges",
    table.fill_edges === true, "repeat its edge pixels over the bleed", with_("fill_edges"))),
  words(yesNo("bare wood around", table.bare_wood_around === true,
    "leave the wood around it bare", with_("bare_wood_around"))));
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

/** Whether notes and lines go where a photo is moved. @returns {Node[]} */
function takingAlong() {
  const { note = [], line = [] } = known.job?.document ?? {};
  if (!note.length && !line.length) return [];
  return [words(yesNo("take along", known.taking, "notes and lines move with it", (value) => {
    known.taking = value;
    return Promise.resolve(true);
  }))];
}

/** What is cut off of a picture. @param {Table} table @param {Set} set */
function cropTold(table, set) {
  const side = (/** @type {string} */ name) => field(`crop ${name}`, table[`crop_${name}`] ?? "0 %",
    (value) => {
      const { [`crop_${name}`]: _, ...rest } = table;
      return set(Number.parseFloat(value) === 0 ? rest : { ...rest, [`crop_${name}`]: value },
        `crop ${name}`);
    });
  return words("Cropped by ", side("left"), " at its left, ", side("right"), " at its right, ",
    side("top"), " at its top and ", side("bottom"), " at its bottom. ",
    button("Crop by hand", cropHeld, { "aria-pressed": String(known.cropping), class: "small" }));
}

/** How far a photo may still go. @param {import("./placing.js").Placed} placed
 * @param {number} fillMm */
function rangeTold(placed, fillMm) {
  const board = known.job?.scene.board;
  if (!board) return make("p");
  const range = rangeOf(placed, board.hull, fillMm);
  if (!covers(range)) return words(make("strong", { text: "It does not cover the bleed." }),
    " The red dashed frame on the board, if there is one, is where its middle would have to lie.");
  const [u, v] = [range.u, range.v].map(([low, high]) => told(high - low));
  return words(`It covers the bleed, with ${u} to spare along its rows and ${v} along its `
    + "columns: its middle may lie anywhere in the green dashed frame.");
}
