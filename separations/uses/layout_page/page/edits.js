/** Edits on their way to the server: one after another, the newest text always the base. */

import { asked, posted, Refused } from "./server.js";
import { keyOf, known, tell } from "./store.js";
import { lengthIn, mmOf, unitOf } from "./units.js";

/** @typedef {import("./types.js").Edit} Edit */
/** @typedef {import("./types.js").Thing} Thing */
/** @typedef {import("./types.js").Table} Table */

/** @type {Promise<unknown>} */
let last = Promise.resolve();
/** @type {(sentence: string) => void} */
let complain = () => {};

/** Who shows what the server would not do. @param {(sentence: string) => void} show */
export function complainsTo(show) {
  complain = show;
}

/** Take the job as the server tells it. @param {any} told */
export function taken(told) {
  if (!told.open) return;
  const former = known.job;
  if (former && told.revision < former.revision) return;
  if (!("board" in told.scene) && former) told.scene.board = former.scene.board;
  known.job = told;
  known.films = told.films;
  const { chosen } = known;
  if (chosen && !told.document[chosen.table]?.[chosen.at]) known.chosen = null;
  tell("job", "chosen", "films");
}

/** Ask for the job as it is. */
export async function refreshed() {
  taken(await asked(`/api/job?known=${known.job?.boardDigest ?? ""}`));
}

/**
 * Post something that answers with the job, after all that was posted before.
 * @param {string} path
 * @param {() => object} message
 * @returns {Promise<boolean>}
 */
export function inTurn(path, message) {
  const turn = last.then(async () => {
    try {
      taken(await posted(path, { known: known.job?.boardDigest ?? "", ...message() }));
      complain("");
      return true;
    } catch (fault) {
      known.live.clear();
      tell("live", "job");
      if (!(fault instanceof Refused)) {
        complain("The server of this page does not answer. What it was told is kept.");
        return false;
      }
      complain(fault.message);
      if (fault.status === 409) await refreshed().catch(() => {});
      return false;
    }
  });
  last = turn;
  return turn;
}

/**
 * Make edits of one step.
 * @param {Edit[]} edits
 * @param {string} told  what they do, in words
 */
export function edit(edits, told) {
  if (!edits.length) return Promise.resolve(true);
  const base = known.job?.revision ?? 0;
  return inTurn("/api/edit", () => ({ edits, told, base }));
}

/**
 * What leads from a thing's table in the job to the table as the hand left it.
 * @param {Thing} thing
 * @param {Table} now
 * @returns {Edit[]}
 */
export function editsTo(thing, now) {
  const was = known.job?.document[thing.table]?.[thing.at] ?? {};
  /** @type {Edit[]} */
  const edits = [];
  for (const key of Object.keys(was)) {
    if (!(key in now)) edits.push({ unset: [thing.table, thing.at, key] });
  }
  for (const [key, value] of Object.entries(now)) {
    if (JSON.stringify(was[key]) !== JSON.stringify(value)) {
      edits.push({ set: [thing.table, thing.at, key], to: value });
    }
  }
  return edits;
}

/**
 * What moves notes and lines as far as a photo was moved.
 * @param {Thing} thing @param {Table} now
 * @returns {Edit[]}
 */
function drawnAlong(thing, now) {
  const { document } = known.job ?? {};
  const was = document?.[thing.table]?.[thing.at];
  if (thing.table !== "art" || !was || (now.kind ?? "photo") !== "photo") return [];
  const step = ["offset_along", "offset_across"].map((key) => mmOf(now[key], 0) - mmOf(was[key], 0));
  if (!step[0] && !step[1]) return [];
  const by = (/** @type {any[]} */ pair) => pair.map((written, k) => lengthIn(
    mmOf(written) + step[k], unitOf(written, "mm")));
  return [
    ...(document?.note ?? []).flatMap((/** @type {Table} */ note, /** @type {number} */ at) => ["at",
      "label_at"].filter((key) => note[key]).map((key) => ({ set: ["note", at, key], to: by(note[key]) }))),
    ...(document?.line ?? []).map((/** @type {Table} */ line, /** @type {number} */ at) => (
      { set: ["line", at, "points"], to: line.points.map(by) }))];
}

/**
 * The hand has put a thing down: make its table the job's, and let go of it here when it is.
 * @param {Thing} thing
 * @param {string} told
 */
export async function putDown(thing, told) {
  const key = keyOf(thing);
  const table = known.live.get(key);
  if (!table) return;
  await edit([...editsTo(thing, table), ...known.taking ? drawnAlong(thing, table) : []], told);
  if (known.live.get(key) === table) {
    known.live.delete(key);
    tell("live");
  }
}

/** What was posted before is done. */
export const settled = () => last;

export const undo = () => inTurn("/api/move", () => ({ by: -1 }));
export const redo = () => inTurn("/api/move", () => ({ by: 1 }));
export const save = () => inTurn("/api/save", () => ({}));
