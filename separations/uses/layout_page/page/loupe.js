/** A loupe laid on the board: the films' own dots, from life size to single film pixels. */

import { view } from "./bench.js";
import { button, fill, make, part } from "./dom.js";
import { choice, yesNo } from "./fields.js";
import { got } from "./server.js";
import { hears, known, tell } from "./store.js";

/** @typedef {import("./types.js").Point} Point */

const glass = part("glass");
const acts = part("glass-acts");
/** px a mm on a screen of 96 px to the inch. */
const LIFE = 96 / 25.4;
const NEAR = /** @type {Record<string, number>} */ ({ "life size": 1, "4 ×": 4, "15 ×": 15,
  "30 ×": 30, "60 ×": 60, "single pixels": 120 });
/** How long the dots took from the asking to the glass (ms), for whoever measures the page. */
export const glances = /** @type {number[]} */ ([]);

const state = {
  on: false,
  /** @type {Point} */ at: [0, 0],
  near: "15 ×",
  ink: "all inks on the wood",
  threads: false,
};
/** The film pixels last shown, for whoever holds them against the film.
 * @type {{row: number, column: number, rows: number, columns: number, bits: Uint8Array[]} | null} */
export let seen = null;
/** @type {AbortController | null} */
let asking = null;
let waiting = false;
/** @type {HTMLCanvasElement | null} */
let lens = null;

/** Lay the loupe on the board, or take it away. */
export function toggleLoupe() {
  state.on = !state.on;
  if (state.on) {
    const board = known.job?.scene.board?.trimBounds ?? [0, 0, 0, 0];
    const along = view.nose === "up" ? [0.5, 0.4] : [0.6, 0.5];
    const [x, y] = view.toBoard([view.width * along[0], view.height * along[1]]);
    state.at = [Math.min(Math.max(x, board[0]), board[2]), Math.min(Math.max(y, board[1]),
      board[3])];
  }
  draw();
  look();
  tell("dots");
}

export const loupeIsOn = () => state.on;

function size() {
  return Math.max(160, Math.min(320, view.width * 0.7, view.height - 30)) & ~1;
}

function draw() {
  if (!state.on) {
    fill(acts);
    return fill(glass);
  }
  const side = size();
  const canvas = make("canvas", { width: side, height: side, tabindex: 0, role: "img",
    class: "lens", "data-key": "lens",
    "aria-label": "Loupe on the films' dots; arrow keys move it over the board" });
  lens = canvas;
  const inks = ["all inks on the wood", ...(known.job?.scene.inks.map((ink) => ink.name) ?? [])];
  const pick = (/** @type {string[]} */ names) => Object.fromEntries(names.map((one) => [one, one]));
  fill(glass, make("div", { class: "glass" }, canvas));
  fill(acts, make("span", { text: "The loupe shows" }),
    choice("how near", state.near, pick(Object.keys(NEAR)), (value) => {
      state.near = value;
      look();
    }),
    choice("which film", state.ink, pick(inks), (value) => {
      state.ink = value;
      look();
    }),
    yesNo("threads", state.threads, "mesh threads", (value) => {
      state.threads = value;
      look();
    }),
    button("Take the loupe away", toggleLoupe),
    make("span", { id: "glass-told", class: "small", role: "status" }));
  canvas.addEventListener("pointerdown", grab);
  canvas.addEventListener("keydown", (event) => {
    const way = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[
      event.key];
    if (!way) return;
    event.preventDefault();
    event.stopPropagation();
    const step = side / 4 / perMm();
    const [dx, dy] = view.byBoard([way[0] * view.scale * step, way[1] * view.scale * step]);
    state.at = [state.at[0] + dx, state.at[1] + dy];
    lay();
    look();
  });
  lay();
}

/** px of the glass to a mm of the board. */
const perMm = () => NEAR[state.near] * LIFE;

/** Lay the glass where it looks. */
function lay() {
  const box = /** @type {HTMLElement | null} */ (glass.firstElementChild);
  if (!box) return;
  const [x, y] = view.toWindow(state.at);
  const [w, h] = [box.offsetWidth, box.offsetHeight];
  const side = size();
  box.style.left = `${Math.round(Math.min(Math.max(x - w / 2, 4), view.width - w - 4))}px`;
  box.style.top = `${Math.round(Math.min(Math.max(y - side / 2, 4), Math.max(4, view.height - h - 4)))}px`;
}

/** @param {PointerEvent} event */
function grab(event) {
  event.stopPropagation();
  const target = /** @type {HTMLElement} */ (event.target);
  target.setPointerCapture(event.pointerId);
  let last = [event.clientX, event.clientY];
  const move = (/** @type {PointerEvent} */ now) => {
    const [dx, dy] = view.byBoard([now.clientX - last[0], now.clientY - last[1]]);
    last = [now.clientX, now.clientY];
    state.at = [state.at[0] + dx, state.at[1] + dy];
    lay();
    look();
  };
  target.addEventListener("pointermove", move);
  target.addEventListener("lostpointercapture", () => {
    target.removeEventListener("pointermove", move);
  }, { once: true });
}

/** Look at what lies beneath. */
async function look() {
  const { job } = known;
  if (!state.on || !job || !lens) return;
  asking?.abort();
  const mine = asking = new AbortController();
  const side = lens.width;
  const filmMm = 25.4 / job.scene.film.dpi;
  const px = perMm() * filmMm; // glass px to a film pixel
  const ink = job.scene.inks.findIndex((one) => one.name === state.ink);
  const [x, y] = state.at;
  const query = new URLSearchParams({ x: x.toFixed(3), y: y.toFixed(3) });
  const whole = Math.max(1, Math.round(px));
  const step = px < 0.75 ? Math.round(1 / px) : 0;
  const count = step ? side : Math.ceil(side / whole);
  query.set("rows", String(count));
  query.set("columns", String(count));
  if (step) {
    query.set("step", String(step));
    if (ink >= 0) query.set("ink", String(ink));
  }
  const begun = performance.now();
  try {
    const answer = await got(`/api/loupe?${query}`, mine.signal);
    if (answer.status === 202) {
      waiting = true;
      return say("The films' dots are being made; they come in a moment.");
    }
    waiting = false;
    const place = JSON.parse(answer.headers.get("x-place") ?? "{}");
    const data = new Uint8Array(await answer.arrayBuffer());
    paint(place, data, step ? 1 : whole, step > 0, ink);
    glances.push(performance.now() - begun);
    say(`${Math.round(Math.abs(x))} mm towards the ${x < 0 ? "tail" : "nose"}, ${
      Math.round(Math.abs(y))} mm to the ${y < 0 ? "right" : "left"}; ${step
      ? `each point of the glass is the mean of ${step} × ${step} film pixels`
      : `a film pixel is ${whole === 1 ? "one point" : `${whole} × ${whole} points`} of the glass`}.`);
  } catch (fault) {
    if (!mine.signal.aborted) say(/** @type {Error} */ (fault).message);
  }
}

/** @param {string} words */
const say = (words) => {
  part("glass-told").textContent = words;
};

/**
 * @param {{rows: number, columns: number, row: number, column: number}} place
 * @param {Uint8Array} data @param {number} px @param {boolean} colours @param {number} ink
 */
function paint({ rows, columns, row, column }, data, px, colours, ink) {
  const { job } = known;
  const brush = lens?.getContext("2d");
  if (!brush || !lens || !job) return;
  const image = new ImageData(columns, rows);
  const out = new Uint32Array(image.data.buffer);
  if (colours) {
    seen = null;
    for (let n = 0; n < rows * columns; n++) {
      out[n] = 0xff000000 | data[3 * n + 2] << 16 | data[3 * n + 1] << 8 | data[3 * n];
    }
  } else {
    const wide = (columns + 7) >> 3;
    const bits = job.scene.inks.map((_, n) => data.subarray(n * rows * wide, (n + 1) * rows * wide));
    seen = { row, column, rows, columns, bits };
    const table = job.scene.overprints.map(([r, g, b]) => 0xff000000 | b << 16 | g << 8 | r);
    for (let r = 0; r < rows; r++) {
      for (let c = 0; c < columns; c++) {
        const [byte, bit] = [r * wide + (c >> 3), 7 - (c & 7)];
        if (ink >= 0) out[r * columns + c] = (bits[ink][byte] >> bit) & 1 ? 0xff1a1614 : 0xfff4f8fa;
        else {
          let over = 0;
          for (let n = 0; n < bits.length; n++) over |= ((bits[n][byte] >> bit) & 1) << n;
          out[r * columns + c] = table[over] ?? 0xff000000;
        }
      }
    }
  }
  const film = new OffscreenCanvas(columns, rows);
  film.getContext("2d")?.putImageData(image, 0, 0);
  const half = lens.width / 2;
  brush.setTransform(1, 0, 0, 1, 0, 0);
  brush.fillStyle = "#efe9dc";
  brush.fillRect(0, 0, lens.width, lens.height);
  // The film is seen nose up; the glass turns with the board.
  brush.translate(half, half);
  brush.rotate({ up: 0, right: Math.PI / 2, left: -Math.PI / 2 }[view.nose]);
  brush.imageSmoothingEnabled = false;
  brush.drawImage(film, -columns * px / 2, -rows * px / 2, columns * px, rows * px);
  if (state.threads) threads(brush, px, colours, Math.max(ink, 0));
  ticks(brush, half);
}

/** Four ticks at the rim, level with the middle. @param {CanvasRenderingContext2D} brush
 * @param {number} half */
function ticks(brush, half) {
  for (const [width, colour] of /** @type {[number, string][]} */ ([[5, "#fffdf8"], [2, "#24564a"]])) {
    brush.lineWidth = width;
    brush.strokeStyle = colour;
    for (let quarter = 0; quarter < 4; quarter++) {
      brush.setTransform(1, 0, 0, 1, half, half);
      brush.rotate(quarter * Math.PI / 2);
      brush.beginPath();
      brush.moveTo(0, half);
      brush.lineTo(0, half * 0.92);
      brush.stroke();
    }
  }
}

/** The cloth's threads over the dots. @param {CanvasRenderingContext2D} brush @param {number} px
 * @param {boolean} colours @param {number} ink */
function threads(brush, px, colours, ink) {
  const { job } = known;
  if (!job || !lens) return;
  const { pitch, thread, angle } = job.scene.inks[ink].mesh;
  const perUm = colours ? perMm() / 1000 : px * job.scene.film.dpi / 25400;
  const reach = lens.width;
  brush.rotate(-angle * Math.PI / 180);
  brush.fillStyle = "rgb(120 110 90 / .5)";
  const step = pitch * perUm;
  if (step < 2) return;
  for (let at = -Math.ceil(reach / step) * step; at < reach; at += step) {
    brush.fillRect(at, -reach, Math.max(thread * perUm, 0.5), 2 * reach);
    brush.fillRect(-reach, at, 2 * reach, Math.max(thread * perUm, 0.5));
  }
}

/** The dots of a text are ready. */
export function dotsReady() {
  if (state.on && waiting) void look();
}

/** Where the loupe lies, for whoever measures the page. @param {Point} place @param {string} near */
export async function lookAt(place, near) {
  state.at = place;
  state.near = near;
  lay();
  await look();
}

/** Begin. */
export function startLoupe() {
  let revision = 0;
  hears(["job"], () => {
    if (state.on && known.job && revision !== known.job.revision) {
      revision = known.job.revision;
      void look();
    }
  });
  hears(["shown", "live"], () => {
    if (state.on) lay();
  });
}
