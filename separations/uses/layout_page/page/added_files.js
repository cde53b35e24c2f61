/** Files that are dropped on the page or chosen: taken into the job's folder and laid on the board. */

import { darkestInk } from "./art_figures.js";
import { edit } from "./edits.js";
import { choose } from "./held.js";
import { jobUnit } from "./moving.js";
import { nameOf } from "./outlines.js";
import { handedOver } from "./server.js";
import { known, tableOf } from "./store.js";
import { lengthIn } from "./units.js";

/** @typedef {import("./types.js").Point} Point */
/** @typedef {import("./types.js").Table} Table */

/** Endings of pictures, as a file chooser takes them. */
export const PICTURES = ".jpg,.jpeg,.png,.tif,.tiff,.webp,.avif,.psd";
/** Keys of a board that is told by figures, which a drawn outline takes the place of. */
const OF_FIGURES = ["length", "contact_length", "nose_width", "waist_width", "tail_width", "taper",
  "setback", "nose_shape", "tail_shape"];
/** @type {(sentence: string) => void} */
let complain = () => {};

/** Who shows what is wrong with a file. @param {(sentence: string) => void} show */
export function addedComplainTo(show) {
  complain = show;
}

/**
 * Take a file into the job's folder and lay it on the board.
 * @param {File} file
 * @param {Point} [where]  where on the board it was dropped
 */
export async function addFile(file, where) {
  try {
    complain(`Taking ${file.name} into the job's folder…`);
    const got = await handedOver(file);
    complain("");
    if (got.kind === "outline") await takeOutline(got.name);
    else if (got.kind === "font") await takeFont(got.name);
    else {
      const at = known.job?.document.art.length ?? 0;
      if (await edit([{ add: "art", keys: laid(got, where) }], `added ${got.name}`)) {
        choose({ table: "art", at });
      }
    }
  } catch (fault) {
    complain(/** @type {Error} */ (fault).message);
  }
}

/** How new art lies at first: pictures fill the board, drawings have their own size.
 * @param {any} got @param {Point} [where] @returns {Table} */
function laid(got, where) {
  const file = { file: got.name, ...(got.pages > 1 ? { page: got.page } : {}) };
  const plain = got.kind === "drawing" || (got.colours?.length === 1);
  if (!plain) {
    return { ...file, kind: "photo", place: "fill", turn: got.px[0] > got.px[1] ? 90 : 0 };
  }
  const [x0, y0, x1, y1] = known.job?.scene.board?.bounds ?? [0, 0, 0, 0];
  const wide = Math.round(Math.min(got.mm[0], x1 - x0) * 10) / 10;
  const [dx, dy] = where ? [where[0] - (x0 + x1) / 2, where[1] - (y0 + y1) / 2] : [0, 0];
  return { ...file, kind: "line", ink: darkestInk(), place: "scale",
    width: lengthIn(wide, jobUnit()), turn: 90, ...(where ? {
      offset_along: lengthIn(Math.round(dx * 10) / 10, jobUnit()),
      offset_across: lengthIn(Math.round(dy * 10) / 10, jobUnit()) } : {}) };
}

/** @param {string} name */
const takeOutline = (name) => edit([{ set: ["board", "outline"], to: name },
  ...OF_FIGURES.filter((key) => key in (known.job?.document.board ?? {})).map(
    (key) => ({ unset: ["board", key] }))], `took the outline from ${name}`);

/** A font letters what is in the hand. @param {string} name */
async function takeFont(name) {
  const { chosen } = known;
  const table = chosen && tableOf(chosen);
  if (!chosen || !table || (chosen.table === "art" && !/\.svg$/i.test(table.file ?? ""))) {
    complain(`${name} lies in the job's folder now. Take a note or a line in hand and drop it again `
      + "to letter that with it.");
    return;
  }
  await edit([{ set: [chosen.table, chosen.at, "font"], to: name }],
    `lettered the ${nameOf(chosen)} with ${name}`);
}
