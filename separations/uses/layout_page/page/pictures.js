/** Pictures from the server: the board as it will look, and the art itself, kept while they hold. */

import { picture, Refused } from "./server.js";
import { known, tell } from "./store.js";

/** @typedef {{bitmap: ImageBitmap, left: number, top: number, pixel: number, revision: number,
 *   of: string, ppi: number, whole: boolean, without: string, places: string}} Shown */

/** Resolutions that are asked for: few, so that the server's work serves again. */
const STEPS = [12, 18, 25, 36, 50, 72, 100, 144, 200];
/** Beyond this, a picture is asked coarser first: it takes longer. */
const QUICK = 72;
/** Above this a part of the board is asked, not all of it. */
const WHOLE = 50;

/** Half a side of what tells how dark a place is (px), and the level from which it is not. */
const DARK_PX = 6;
const DARK = 100;

/** @type {Map<string, Shown>} */
const shown = new Map();
/** @type {Map<string, {wanted: string, line: AbortController}>} */
const under = new Map();
/** How long pictures took from the asking to the screen (ms), for whoever measures the page. */
export const timings = /** @type {{kind: string, ms: number}[]} */ ([]);
/** What was asked and could not be made, by text, and when: it is not asked again at each repaint.
 * @type {Map<string, {wanted: string, at: number}>} */
const refused = new Map();
const NOT_AGAIN_MS = 2000;
/** What has not come by then is asked again: the first picture of an installation takes longest. */
const ASK_AGAIN_MS = 60000;
/** @type {(sentence: string) => void} */
let complain = () => {};

/** @param {(sentence: string) => void} show */
export function picturesComplainTo(show) {
  complain = show;
}

/** The resolution that fills the screen's own pixels. @param {number} scale  px a mm */
export function stepFor(scale) {
  const wanted = scale * 25.4 * Math.min(devicePixelRatio, 2) * 0.97;
  return STEPS.find((step) => step >= wanted) ?? STEPS[STEPS.length - 1];
}

/**
 * The picture of a text, the best there is.
 * @param {string} of
 */
export function shownOf(of) {
  return shown.get(of) ?? null;
}

/** Whether the picture that is shown is that of the newest text. */
export function isTrue() {
  const best = shown.get("");
  return !!best && best.revision === known.job?.revision && best.without === offNow();
}

/** Whether everything lies where the picture has it: if not, the browser draws what moved. */
export function liesAsShown() {
  const best = shown.get("");
  return !!best && !!known.job && best.places === placesIn(known.job.scene);
}

/** @type {WeakMap<object, string>} */
const places = new WeakMap();

/** Where everything lies, as one text. @param {import("./types.js").Scene} scene */
function placesIn(scene) {
  let told = places.get(scene);
  if (told === undefined) {
    told = JSON.stringify([scene.board?.bleed, scene.art.map((art) => [art.content, art.px, art.matrix]),
      scene.drawn.map((one) => [one.ink, one.bounds, one.path.length])]);
    places.set(scene, told);
  }
  return told;
}

const offNow = () => [...known.without].sort().join("\n");

/**
 * Ask for the picture that the view wants, if it is not there or on its way.
 * @param {string} of  empty for the newest text
 * @param {import("./view.js").View} view
 */
export function wantPicture(of, view) {
  const { job } = known;
  if (!job?.scene.board) return;
  const ppi = stepFor(view.scale);
  const best = shown.get(of);
  const current = best?.revision === job.revision && best.without === offNow();
  const fine = current && best.ppi >= ppi && (best.whole || within(best, view));
  if (fine) return;
  const first = current ? ppi : Math.min(ppi, QUICK);
  ask(of, first, view, first === ppi ? null : view);
}

/** @param {Shown} best @param {import("./view.js").View} view */
function within(best, view) {
  const [x0, y0, x1, y1] = view.sight;
  const [bx0, by0, bx1, by1] = known.job?.scene.board?.trimBounds ?? [0, 0, 0, 0];
  const right = best.left + best.bitmap.width * best.pixel;
  const low = best.top - best.bitmap.height * best.pixel;
  const slack = 1;
  return Math.max(x0, bx0) >= best.left - slack && Math.min(x1, bx1) <= right + slack
    && Math.max(y0, by0) >= low - slack && Math.min(y1, by1) <= best.top + slack;
}

/**
 * @param {string} of @param {number} ppi @param {import("./view.js").View} view
 * @param {import("./view.js").View | null} then  asked again for this view when it is there
 */
async function ask(of, ppi, view, then) {
  const revision = known.job?.revision ?? 0;
  const whole = ppi <= WHOLE;
  const off = offNow();
  const lying = known.job ? placesIn(known.job.scene) : "";
  const asking = new URLSearchParams({ ppi: String(ppi) });
  if (of) asking.set("of", of);
  known.without.forEach((ink) => asking.append("without", ink));
  if (!whole) asking.set("part", grown(view.sight).map((mm) => mm.toFixed(1)).join(","));
  const wanted = `${revision} ${asking}`;
  const had = refused.get(of);
  if (under.get(of)?.wanted === wanted
    || had?.wanted === wanted && performance.now() - had.at < NOT_AGAIN_MS) return;
  under.get(of)?.line.abort();
  const line = new AbortController();
  under.set(of, { wanted, line });
  const begun = performance.now();
  const late = setTimeout(() => {
    if (under.get(of)?.line === line) under.delete(of);
    line.abort();
    wantPicture(of, view);
  }, ASK_AGAIN_MS);
  try {
    const { bitmap, place } = await picture(`/api/picture?${asking}`, line.signal);
    if (!of && place.revision !== known.job?.revision) return;
    refused.delete(of);
    shown.get(of)?.bitmap.close();
    shown.set(of, { bitmap, ...place, revision, of, ppi, whole, without: off,
      places: lying });
    timings.push({ kind: "picture", ms: performance.now() - begun });
    complain("");
    tell("shown");
  } catch (fault) {
    const sentence = fault instanceof Refused ? fault.message
      : line.signal.aborted || fault instanceof TypeError ? "" // no answer: told by who listens
        : `The browser cannot show the board's picture (${fault}). Close other pages.`;
    if (sentence) {
      complain(sentence);
      refused.set(of, { wanted, at: performance.now() });
      tell("shown");
    }
  } finally {
    clearTimeout(late);
    if (under.get(of)?.line === line) under.delete(of);
    if (then) wantPicture(of, then);
    else if (known.job && known.job.revision !== revision) wantPicture(of, view);
  }
}

/** A view's sight with some round it, so that a small move needs no new picture.
 * @param {number[]} sight */
function grown([x0, y0, x1, y1]) {
  const [dx, dy] = [(x1 - x0) / 4, (y1 - y0) / 4];
  return [x0 - dx, y0 - dy, x1 + dx, y1 + dy];
}

/** Whether the print is dark about a place; not where no picture is. @param {[number, number]} mm */
export function isDark([x, y]) {
  const best = shown.get("");
  if (!best) return false;
  const [column, row] = [(x - best.left) / best.pixel, (best.top - y) / best.pixel];
  const brush = new OffscreenCanvas(1, 1).getContext("2d");
  brush?.drawImage(best.bitmap, column - DARK_PX, row - DARK_PX, 2 * DARK_PX, 2 * DARK_PX, 0, 0, 1, 1);
  const [red, green, blue] = brush?.getImageData(0, 0, 1, 1).data ?? [255, 255, 255];
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue < DARK;
}

/** Forget a text's picture. @param {string} of */
export function forget(of) {
  shown.get(of)?.bitmap.close();
  shown.delete(of);
}

/** @type {Map<string, {bitmap: ImageBitmap | null, alpha?: ImageData}>} */
const arts = new Map();
/** Width of the copy in which line work is felt for (px). */
const FELT = 1024;

/**
 * Whether line work inks within a reach of one of its pixels.
 * @param {import("./types.js").SceneArt} art
 * @param {number} u @param {number} v @param {number} reach  in pixels of the whole of it
 */
export function isInked(art, u, v, reach) {
  const kept = arts.get(`${art.file} ${art.kind} ${art.content}`);
  if (!kept?.bitmap) return false;
  if (!kept.alpha) {
    const [w, h] = [FELT, Math.max(1, Math.round(FELT * kept.bitmap.height / kept.bitmap.width))];
    const brush = new OffscreenCanvas(w, h).getContext("2d");
    brush?.drawImage(kept.bitmap, 0, 0, w, h);
    kept.alpha = brush?.getImageData(0, 0, w, h);
  }
  const { width, height, data } = kept.alpha ?? { width: 0, height: 0, data: [] };
  const scale = width / art.whole[0];
  const near = Math.max(1, Math.round(reach * scale));
  for (let y = Math.round(v * scale) - near; y <= v * scale + near; y++) {
    for (let x = Math.round(u * scale) - near; x <= u * scale + near; x++) {
      if (x >= 0 && y >= 0 && x < width && y < height && data[4 * (y * width + x) + 3] > 40) {
        return true;
      }
    }
  }
  return false;
}

/**
 * A small picture of an artwork, asked for when it is not there.
 * @param {import("./types.js").SceneArt} art
 * @returns {ImageBitmap | null}
 */
export function artPicture(art) {
  const key = `${art.file} ${art.kind} ${art.content}`;
  const had = arts.get(key);
  if (had) return had.bitmap;
  if (!shown.has("") && !refused.has("")) return null; // after the board's first picture
  /** @type {{bitmap: ImageBitmap | null, alpha?: ImageData}} */
  const entry = { bitmap: null };
  arts.set(key, entry);
  picture(`/api/art?n=${art.order}&side=2048`).then(({ bitmap }) => {
    entry.bitmap = bitmap;
    for (const [old, kept] of arts) { // those no longer on the board
      if (arts.size <= 12) break;
      if (kept.bitmap && old !== key) {
        kept.bitmap.close();
        arts.delete(old);
      }
    }
    tell("shown");
  }, () => arts.delete(key));
  return null;
}
