/** Landmarks of a photo: marked by taps on it, with what is known of their place typed beside. */

import { askTaps } from "./bench.js";
import { button, make } from "./dom.js";
import { edit } from "./edits.js";
import { field, words } from "./fields.js";
import { artPlaced } from "./outlines.js";
import { keptOf, matrixOf } from "./placing.js";
import { known } from "./store.js";

/** @typedef {import("./types.js").Point} Point */
/** @typedef {import("./types.js").Table} Table */
/** @typedef {{at: string[], photo: string}} Mark */

/** Where the next landmark was marked, until its place is typed. @type {Mark | null} */
let marked = null;
/** How to tap without a pointer. */
const BY_KEYS = ", or move a cross there by the arrow keys and press the space bar";
const PLACE = /** @type {[string, string, string][]} */ ([
  ["latitude", "Degrees north", "46.51234"], ["longitude", "Degrees east", "-27.24567"],
  ["height", "Height", "84 m"]]);

const photos = () => known.job?.scene.art.filter((art) => art.kind === "photo") ?? [];

/** What is told of landmarks; nothing for a job that has neither them nor tracks.
 * @param {() => void} again  draws the sheet anew @returns {Node[]} */
export function landmarksTold(again) {
  const { job } = known;
  const marks = /** @type {Table[]} */ (job?.document.landmark ?? []);
  if (!job || (!marks.length && !(job.document.track ?? []).length)) return [];
  const wrong = new Set(job.scene.landmarks?.filter((one) => one.wrong).map((one) => one.place));
  return [make("h3", { text: "Landmarks on the photo" }),
    ...marks.map((table, n) => landmark(table, n, wrong.has(n))),
    ...(marked ? [form(marked, again)] : []),
    make("div", { class: "row" }, button("Mark a landmark", () => tapFor((mark) => {
      marked = mark;
      again();
    })))];
}

/** @param {Table} table @param {number} n @param {boolean} wrong */
function landmark(table, n, wrong) {
  const set = (/** @type {string} */ key, /** @type {unknown} */ to) => edit(
    [{ set: ["landmark", n, key], to }], `${key} of landmark ${n + 1}`);
  const degrees = (/** @type {string} */ key) => field(`${key} of landmark ${n + 1}`, table[key],
    (value) => Number.isFinite(Number(value)) && set(key, Number(value)));
  return make("div", { class: "landmark-row" },
    words(`${n + 1}. ${table.name ? `${table.name}: ` : ""}`, degrees("latitude"), "° north, ",
      degrees("longitude"), "° east, ", field(`height of landmark ${n + 1}`, table.height,
        (value) => set("height", value)), wrong ? " high. It disagrees with the others." : " high."),
    make("div", { class: "row" },
      button("Mark again", () => tapFor((mark) => void set("at", mark.at)),
        { "aria-label": `Mark landmark ${n + 1} again` }),
      button("Take away", () => void edit([{ remove: "landmark", at: n }],
        `took away landmark ${n + 1}`), { "aria-label": `Take away landmark ${n + 1}`,
        class: "away" })));
}

/** @param {Mark} mark @param {() => void} again */
function form(mark, again) {
  const inputs = PLACE.map(([key, told, such]) => make("input", { type: "text", class: "figure",
    size: 12, placeholder: such, "aria-label": told, "data-key": `mark ${key}`,
    onkeydown: (/** @type {KeyboardEvent} */ event) => event.stopPropagation() }));
  const end = () => {
    marked = null;
    again();
  };
  const add = () => {
    const [latitude, longitude, height] = inputs.map((one) => one.value.trim());
    if (!latitude || !longitude || !height) return;
    /** @type {Table} */
    const keys = { at: mark.at, latitude: Number(latitude), longitude: Number(longitude), height };
    if (photos().length > 1) keys.photo = mark.photo;
    void edit([{ add: "landmark", keys }], "marked a landmark").then((done) => done && end());
  };
  return make("div", { class: "landmark-row" },
    words("It lies ", inputs[0], "° north, ", inputs[1], "° east, ", inputs[2], " high."),
    make("div", { class: "row" }, button("Add the landmark", add), button("Leave it", end)));
}

/** Ask for a tap on a photo. @param {(mark: Mark) => void} take */
function tapFor(take) {
  askTaps({ words: `Tap the landmark on the photo${BY_KEYS}.`, tap: (place) => {
    const mark = markAt(place);
    askTaps(null);
    if (mark) take(mark);
  } });
}

/** Where a place of the board lies on the topmost photo there, in percent of the whole photo.
 * @param {Point} place @returns {Mark | null} */
function markAt(place) {
  for (const art of photos().reverse()) {
    const table = known.job?.document.art[art.order] ?? {};
    const placed = artPlaced({ table: "art", at: art.order });
    if (!placed) continue;
    const kept = keptOf(table, /** @type {[number, number]} */ (art.whole));
    const { x, y } = new DOMMatrix(matrixOf(placed)).inverse().transformPoint(
      new DOMPoint(...place));
    if (x < 0 || y < 0 || x > kept.w || y > kept.h) continue;
    const share = (/** @type {number} */ px, /** @type {number} */ whole) => `${
      Math.round(px / whole * 1e6) / 1e4} %`;
    return { at: [share(x + kept.x, art.whole[0]), share(y + kept.y, art.whole[1])],
      photo: art.file };
  }
  return null;
}
