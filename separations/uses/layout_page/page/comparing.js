/** Two texts of the job beside each other or under a wipe, and rows of small boards to pick from. */

import { compare, repaint, view, wholeBoard } from "./bench.js";
import { button, fill, make, part } from "./dom.js";
import { edit } from "./edits.js";
import { choice, words } from "./fields.js";
import { forget } from "./pictures.js";
import { asked, got } from "./server.js";
import { hears, known } from "./store.js";

const sheet = part("compare");
const KINDS = { rendering: "renderings", inks: "sets of inks", ruling: "rulings" };
/** @type {{kind: string, revision: number, row: HTMLElement[]} | null} */
let small = null;
/** @type {AbortController | null} */
let asking = null;
/** Which way the nose pointed when two boards were last fitted. */
let fittedNose = "";
/** What the steel rule and a margin take of each half (px). */
const RULE = 30;

/** Which texts the job can be held against. */
function others() {
  const job = known.job;
  return { saved: "the job as it is saved", ...(job?.undoes ? { "back:1": "one step back",
    "back:5": "five steps back" } : {}), ...Object.fromEntries((job?.beside ?? []).map(
    (name) => [`beside:${name}`, name])) };
}

function draw() {
  const { job } = known;
  if (!job) return;
  const listed = /** @type {Record<string, string>} */ (others());
  if (!(compare.of in listed)) compare.of = "saved";
  const how = /** @type {Record<string, string>} */ ({ none: "by itself", wipe: "under a wipe",
    beside: "side by side" });
  showHalves(listed[compare.of]);
  const wipe = make("input", { type: "range", min: 0, max: 100, value: compare.wipe * 100,
    "data-key": "wipe", oninput: () => {
      compare.wipe = Number(wipe.value) / 100;
      repaint();
    } });
  fill(part("wipe-acts"), ...(compare.how === "none" ? [] : [
    ...(compare.how === "wipe" ? [make("label", { class: "wipe" }, "Where the wipe stands", wipe)]
      : [make("span", { text: "Two jobs beside each other" })]),
    button("Stop comparing", () => {
      compare.how = "none";
      fitHalves();
      draw();
      repaint();
    })]));
  fill(sheet, make("h2", { id: "compare-head", text: "Compare it with another" }),
    words("Show the job ", choice("how", compare.how, how, (value) => {
      compare.how = /** @type {"none"} */ (value);
      fitHalves();
      draw();
      repaint();
    }), ...(compare.how === "none" ? ["."] : [": ", choice("against", compare.of, listed, (value) => {
      forget(compare.of);
      compare.of = value;
      repaint();
    }), "."])),
    make("p", { class: "row" }, make("span", { class: "label", text: "Small boards of other" }),
      ...Object.entries(KINDS).map(([kind, name]) => button(name, () => void row(kind),
        { "aria-pressed": String(small?.kind === kind), "data-key": `row ${kind}` }))),
    small ? make("ul", { class: "small-boards" }, ...small.row) : "");
}

/** Show the whole board, twice where two are to be seen. */
function fitHalves() {
  wholeBoard();
  fittedNose = view.nose;
  const bounds = known.job?.scene.board?.bounds;
  if (compare.how !== "beside" || !bounds) return;
  const room = (view.nose === "up" ? view.width : view.height) / 2 - RULE;
  view.scale = Math.min(view.scale, room / (bounds[3] - bounds[1]));
}

/** Say on the board which is which. @param {string} other */
function showHalves(other) {
  const halves = part("halves");
  halves.className = compare.how === "none" ? "" : compare.how;
  fill(halves, ...(compare.how === "none" ? [] : [make("span", { text: "the job now" }),
    make("span", { text: other })]));
}

/** A row of small boards. @param {string} kind */
async function row(kind) {
  asking?.abort();
  if (small?.kind === kind) {
    small = null;
    return draw();
  }
  const mine = asking = new AbortController();
  const listed = await asked(`/api/variants?kind=${kind}`);
  const revision = known.job?.revision ?? 0;
  /** @type {HTMLImageElement[]} */
  const pictures = [];
  const made = listed.map((/** @type {any} */ one, /** @type {number} */ n) => {
    const img = make("img", { alt: "", width: 220, height: 44 });
    pictures.push(img);
    return make("li", {}, make("button", { type: "button", class: "small-board",
      "aria-pressed": String(!one.edits.length), "data-key": `small ${n}`,
      onclick: () => void (one.edits.length && edit(one.edits, one.label)) }, img,
    make("span", { text: one.edits.length ? one.label : `${one.label} (now)` })));
  });
  small = { kind, revision, row: made };
  draw();
  for (const [n, img] of pictures.entries()) {
    try {
      const answer = await got(`/api/variant?kind=${kind}&n=${n}`, mine.signal);
      const url = URL.createObjectURL(await answer.blob());
      img.onload = () => URL.revokeObjectURL(url);
      img.src = url;
    } catch {
      if (mine.signal.aborted) return;
    }
  }
}

/** Begin. */
export function startComparing() {
  let revision = 0;
  hears(["job"], () => {
    if (known.job && known.job.revision !== revision) {
      revision = known.job.revision;
      forget(compare.of);
      const kind = small && small.revision !== revision ? small.kind : "";
      if (kind) {
        small = null;
        void row(kind);
      }
    }
    draw();
  });
  hears(["shown"], () => {
    if (compare.how === "beside" && fittedNose !== view.nose) fitHalves();
  });
}
