/** A new job from a photograph and a board: what can be measured or guessed is there already. */

import { button, fill, make, part } from "./dom.js";
import { PICTURES } from "./added_files.js";
import { BOXES } from "./art_figures.js";
import { choice, field, words } from "./fields.js";
import { ringDrawn } from "./outline_ring.js";
import { asked, handedOver, posted } from "./server.js";
import { lengthIn, mmOf, unitOf } from "./units.js";

/** @typedef {Record<string, string>} Figures */

const sheet = part("begin");
const LABELS = /** @type {Figures} */ ({ length: "Length", nose_width: "Widest at the nose",
  waist_width: "Waist", taper: "Tail narrower than the nose by", contact_length: "Contact length" });

/** What films of a new job's ruling can use: two pixels for each of 45 lines. Common practice. */
const FINE_PPI = 90;
/** What lies at the nose, by how far a picture is turned. */
const ENDS = /** @type {Figures} */ ({ 0: "top", 90: "right end", 180: "bottom", 270: "left end" });

const state = {
  /** @type {any} */ photo: null,
  /** @type {any} */ outline: null,
  /** @type {"figures" | "file"} */ how: "figures",
  /** @type {Figures} */ figures: {},
  /** @type {Set<string>} */ typed: new Set(),
  title: "",
  folder: "",
  within: "",
  named: false,
  fault: "",
  busy: "",
  unit: "",
  turn: "",
  nose: "wider end",
};

/** @param {() => void} done  told when a job is there */
export async function startBegin(done) {
  document.title = "A new job, topsheet layout";
  part("title").textContent = "A new board";
  part("file").textContent = "Nothing is written before you say so.";
  const usual = await asked("/api/usual");
  state.figures = usual.figures;
  state.within = usual.within;
  document.addEventListener("dragover", (event) => event.preventDefault());
  document.addEventListener("drop", (event) => {
    event.preventDefault();
    const [file] = event.dataTransfer?.files ?? [];
    if (file) void take(file, /\.(dxf|csv|svg|txt)$/i.test(file.name) ? "outline" : "photo");
  });
  show(done);
}

/** @type {() => void} */
let finish = () => {};

/** @param {() => void} [done] */
function show(done) {
  if (done) finish = done;
  sheet.hidden = false;
  fill(sheet, make("div", { class: "begin" }, photoPart(), boardPart(), namePart()));
}

/** @param {string} title @param {number} n @param {...(Node | string)} parts */
const step = (title, n, ...parts) => make("section", { class: "sheet step",
  "aria-labelledby": `step-${n}` }, make("h2", { id: `step-${n}` },
  make("span", { class: "count", text: String(n) }), " ", title), ...parts);

function photoPart() {
  const { photo } = state;
  return step("The photograph", 1, picker("photo", photo ? "Choose another photograph…"
    : "Choose a photograph…", `${PICTURES},.pdf`), ...(photo ? [make("p", {}, make("strong",
    { text: photo.name }), photo.kind === "page" ? ": a page, drawn as fine as the films can use. "
    : `: ${photo.px[0]} × ${photo.px[1]} pixels. `,
  "It will fill the board with its ", choice("end at the nose", String(turn()), ENDS, (value) => {
    state.turn = value;
    show();
  }), ` at the nose${photo.kind === "page" ? "" : ppiTold()}.`,
  ...(photo.remarks ?? []).map((/** @type {string} */ one) => make("span", { class: "small",
    text: ` ${one}` }))), photo.kind === "page" ? pageChoice() : ""]
    : [make("p", { class: "hint", text: "Or drop it anywhere on this page: a picture, or a PDF. It is "
      + "copied; your own file stays as it is." })]));
}

/** How far the photograph is turned: as it was chosen, or along the board. */
function turn() {
  const { px } = state.photo;
  return Number(state.turn || (px[0] > px[1] ? 90 : 0));
}

/** Which page of a PDF the photograph is. */
function pageChoice() {
  const { photo } = state;
  const again = async (/** @type {object} */ change) => {
    try {
      const asking = { name: photo.name, page: photo.page, box: photo.box, ...change };
      state.photo = { ...await posted("/api/page", asking), name: photo.name };
      state.fault = "";
    } catch (thrown) {
      state.fault = /** @type {Error} */ (thrown).message;
    }
    show();
  };
  const [wide, high] = photo.mm.map((/** @type {number} */ mm) => Math.round(mm * 10) / 10);
  return words(...(photo.pages === 1 ? ["Its one page"] : ["Page ", field("page", photo.page,
    (value) => again({ page: Number(value) || value })), ` of ${photo.pages}`]), " is read to its ",
  choice("page box", photo.box, BOXES, (value) => again({ box: value })), `, ${wide} × ${high} mm.`);
}

/** How many pixels to the inch the photo has on this board. */
function ppiTold() {
  const [long, wide] = size();
  const { px } = state.photo;
  if (!(long > 0 && wide > 0)) return "";
  const [w, h] = turn() % 180 ? px : [px[1], px[0]];
  const ppi = Math.round(25.4 / Math.max((long + 16) / w, (wide + 16) / h));
  return `, ${ppi} pixels to the inch there${ppi < FINE_PPI ? ` (films at 45 lpi can use ${
    FINE_PPI}: choose a larger file if there is one)` : ""}`;
}

/** The board's length and width in mm. */
function size() {
  if (state.how === "file") {
    const outline = state.outline?.outline;
    return [outline?.length ?? 0, outline?.width ?? 0];
  }
  return [mmOf(state.figures.length), mmOf(state.figures.nose_width)];
}

function boardPart() {
  const how = /** @type {[("figures" | "file"), string][]} */ ([["figures", "from a few figures"],
    ["file", "from a drawing or a table of points (DXF, SVG, CSV)"]]);
  return step("The board", 2, make("fieldset", { class: "ways" }, make("legend", { class: "unseen",
    text: "Where its outline comes from" }), ...how.map(([key, told]) => {
    const box = make("input", { type: "radio", name: "how", checked: state.how === key,
      "data-key": `how ${key}`, onchange: () => {
        state.how = key;
        show();
      } });
    return make("label", { class: "tick" }, box, told);
  })), ...(state.how === "figures" ? figureFields() : outlineFields()));
}

function figureFields() {
  return [make("div", { class: "grid" }, ...Object.keys(LABELS).map((key) => {
    const input = make("input", { type: "text", value: state.figures[key] ?? "",
      "data-key": `figure ${key}`, onchange: () => void figure(key, input.value) });
    return make("label", {}, LABELS[key], input);
  })), make("p", { class: "hint", text: "With their units, as you say them: 158 cm, 62 in, 254 mm. "
    + "All but the length are guesses from it until you type your own." })];
}

/** @param {string} key @param {string} typed */
async function figure(key, typed) {
  // A bare number is of the unit that stood there.
  const value = /^[\d.,\s]+$/.test(typed) && typed.trim()
    ? `${typed.trim().replace(",", ".")} ${unitOf(state.figures[key], "cm")}` : typed;
  state.figures[key] = value;
  state.typed.add(key);
  if (key === "length") {
    try {
      const usual = await asked(`/api/usual?length=${encodeURIComponent(value)}`);
      for (const [other, guess] of Object.entries(usual.figures)) {
        if (!state.typed.has(other)) state.figures[other] = /** @type {string} */ (guess);
      }
      state.fault = "";
    } catch (thrown) {
      state.fault = /** @type {Error} */ (thrown).message;
    }
  }
  show();
}

function outlineFields() {
  const { outline } = state;
  /** @type {(Node | string)[]} */
  const parts = [picker("outline", outline ? "Choose another outline…" : "Choose an outline…",
    ".dxf,.svg,.csv,.txt")];
  if (!outline) return parts;
  const found = outline.outline;
  if (found) {
    parts.push(ringDrawn(found.ring), make("p", {}, make("strong", { text: outline.name }),
      `: ${lengthIn(found.length, "cm").replace(/(\.\d)\d+/, "$1")} long, ${lengthIn(found.width,
        "cm").replace(/(\.\d)\d+/, "$1")} wide, nose to the right here.`));
  } else parts.push(make("p", { class: "hint bad", text: `${outline.name}: ${outline.fault}` }));
  const again = async () => {
    try {
      state.outline = { ...await posted("/api/outline", { name: outline.name, unit: state.unit,
        nose: state.nose === "wider end" ? "" : state.nose }), name: outline.name };
      state.fault = "";
    } catch (thrown) {
      state.fault = /** @type {Error} */ (thrown).message;
    }
    show();
  };
  parts.push(words("One unit of it is ", choice("unit", state.unit, { "": "what the file says",
    mm: "a millimetre", cm: "a centimetre", in: "an inch", m: "a metre" }, (value) => {
    state.unit = value;
    void again();
  }), "; its nose is ", choice("nose", state.nose, { "wider end": "the wider end",
    right: "on the drawing's right", left: "on its left", top: "at its top",
    bottom: "at its bottom" }, (value) => {
    state.nose = value;
    void again();
  }), "."));
  return parts;
}

function namePart() {
  const title = make("input", { type: "text", value: state.title, maxlength: 100,
    "data-key": "title", onchange: async () => {
      state.title = title.value;
      if (!state.named) await propose();
      show();
    } });
  const folder = make("input", { type: "text", value: state.folder, maxlength: 60,
    "data-key": "folder", onchange: () => {
      state.folder = folder.value;
      state.named = true;
      show();
    } });
  const ready = state.photo && (state.how === "figures" || state.outline?.outline);
  return step("Its name", 3, make("div", { class: "grid" }, make("label", {}, "Title, printed on "
    + "the films", title), make("label", {}, "New folder", folder)),
  make("p", { class: "hint", text: `It is made in ${state.within}.` }),
  make("div", { class: "row" }, button("Begin", () => void begin(), { class: "main",
    disabled: !ready || !!state.busy })),
  make("p", { class: state.fault ? "hint bad" : "hint", role: "status", text: state.fault
    || state.busy || (ready ? "" : "A photograph and a board are all it needs.") }));
}

async function propose() {
  const usual = await asked(`/api/usual?name=${encodeURIComponent(state.title)}`);
  state.folder = usual.folder;
}

/** @param {"photo" | "outline"} what @param {string} told @param {string} kinds */
function picker(what, told, kinds) {
  const file = make("input", { type: "file", class: "unseen", tabindex: -1, "aria-hidden": "true",
    accept: kinds, "data-pick": what, onchange: () => {
      const [one] = file.files ?? [];
      if (one) void take(one, what);
    } });
  return make("div", { class: "row" }, file, button(told, () => file.click()));
}

/** @param {File} file @param {"photo" | "outline"} what */
async function take(file, what) {
  state.fault = "";
  state.busy = `Looking at ${file.name}…`;
  show();
  try {
    const got = await handedOver(file);
    if (what === "outline") {
      state.how = "file";
      [state.unit, state.nose] = ["", "wider end"];
      state.outline = got;
    } else if (got.kind !== "picture" && got.kind !== "page") {
      state.fault = `${file.name} is not a photograph.`;
    } else {
      state.photo = got;
      state.turn = "";
      if (!state.title) {
        state.title = file.name.replace(/\.[^.]*$/, "").replace(/[_-]+/g, " ").trim();
        await propose();
      }
    }
  } catch (thrown) {
    state.fault = /** @type {Error} */ (thrown).message;
  }
  state.busy = "";
  show();
}

async function begin() {
  state.fault = "";
  state.busy = "Writing the job…";
  show();
  try {
    const board = state.how === "figures" ? state.figures : {
      ...(state.unit ? { outline_unit: state.unit } : {}),
      ...(state.nose !== "wider end" ? { outline_nose: state.nose } : {}) };
    await posted("/api/begin", { photo: state.photo.name, page: state.photo.page ?? 1,
      box: state.photo.box ?? "", turn: turn(), title: state.title, folder: state.folder,
      board, outline: state.how === "file" ? state.outline.name : "" });
    sheet.hidden = true;
    finish();
    return;
  } catch (thrown) {
    state.fault = /** @type {Error} */ (thrown).message;
  }
  state.busy = "";
  show();
}
