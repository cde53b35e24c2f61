/** What the page knows, and who wants to hear of it. Nothing here is the job's but what it says. */

/** @typedef {import("./types.js").Job} Job */
/** @typedef {import("./types.js").Found} Found */
/** @typedef {import("./types.js").InkNeed} InkNeed */
/** @typedef {import("./types.js").Thing} Thing */
/** @typedef {import("./types.js").Table} Table */

/** @typedef {"job" | "live" | "chosen" | "found" | "ink" | "shown" | "films" | "dots"} Topic */

/** @type {Map<Topic, Set<() => void>>} */
const hearers = new Map();

export const known = {
  /** @type {Job | null} */
  job: null,
  /** @type {Found} */
  found: { revision: 0, pending: true, findings: [], mends: [] },
  /** @type {InkNeed | null} */
  ink: null,
  /** What is in the hand. @type {Thing | null} */
  chosen: null,
  /** Tables as a hand moves them, by `art 0`, `note 2` …, until the server has them.
   * @type {Map<string, Table>} */
  live: new Map(),
  /** Inks that are left off the picture. @type {Set<string>} */
  without: new Set(),
  /** Whether the photo itself is shown. */
  photo: false,
  /** Whether the sides of the picture in the hand can be moved inwards. */
  cropping: false,
  /** Whether notes and lines go where a photo is moved. */
  taking: false,
  /** The finding that was led to. @type {number | null} */
  pointed: null,
  /** The text whose dots the loupe can show. */
  dots: 0,
  films: { state: "none", says: "", share: 0 },
};

/** @param {Topic[]} topics @param {() => void} hear */
export function hears(topics, hear) {
  for (const topic of topics) {
    if (!hearers.has(topic)) hearers.set(topic, new Set());
    hearers.get(topic)?.add(hear);
  }
}

/** @type {Set<Topic>} */
const waiting = new Set();

/** Tell all who hear of a topic, once before the next picture. @param {...Topic} topics */
export function tell(...topics) {
  if (!waiting.size) {
    queueMicrotask(() => {
      const told = [...waiting];
      waiting.clear();
      const all = new Set(told.flatMap((topic) => [...(hearers.get(topic) ?? [])]));
      all.forEach((hear) => hear());
    });
  }
  topics.forEach((topic) => waiting.add(topic));
}

/** @param {Thing} thing */
export const keyOf = (thing) => `${thing.table} ${thing.at}`;

/** A thing's table as it is now, the hand's changes included. @param {Thing} thing @returns {Table} */
export function tableOf(thing) {
  return known.live.get(keyOf(thing)) ?? known.job?.document[thing.table]?.[thing.at] ?? {};
}

/** @param {Thing | null} a @param {Thing | null} b */
export const same = (a, b) => a?.table === b?.table && a?.at === b?.at;
