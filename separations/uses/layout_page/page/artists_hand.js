/** The artist's hand on a photo: exposure, contrast, saturation, curve and greys, in a sentence. */

import { field, words } from "./fields.js";

/** @typedef {import("./types.js").Table} Table */

const PLAIN = /** @type {Record<string, number>} */ ({ exposure: 0, contrast: 0, saturation: 1 });

/** All numbers in a text. @param {string} text */
const numbers = (text) => (text.match(/-?\d*\.?\d+/g) ?? []).map(Number);

/** Pairs of tone, as they are typed. @param {number[][] | undefined} curve */
const curveTold = (curve) => curve?.map(([from, to]) => `${from} to ${to}`).join(", ") ?? "none";

/** What is typed for a curve: pairs; what makes none is handed on, for the server to say so.
 * @param {string} text */
function curveOf(text) {
  const found = numbers(text);
  if (!found.length || found.length % 2) return text;
  return Array.from({ length: found.length / 2 }, (_, n) => found.slice(2 * n, 2 * n + 2));
}

/**
 * @param {Table} table
 * @param {(now: Table, what: string) => Promise<boolean>} set
 */
export function artistsHand(table, set) {
  const put = (/** @type {string} */ key, /** @type {unknown} */ value) => {
    const { [key]: _, ...rest } = table;
    return set(value === undefined ? rest : { ...rest, [key]: value }, key);
  };
  const figure = (/** @type {string} */ key) => field(key, table[key] ?? PLAIN[key], (text) => {
    const value = text === "" || Number.isNaN(Number(text)) ? text : Number(text);
    return put(key, value === PLAIN[key] ? undefined : value);
  });
  return words("Its exposure is changed by ", figure("exposure"), " stops, its contrast by ",
    figure("contrast"), " (−1 flattest, 1 steepest), its colours’ strength is ",
    figure("saturation"), " times its own. Changes of tone, in percent: ",
    field("curve", curveTold(table.curve), (text) => put("curve",
      text === "none" ? undefined : curveOf(text))),
    "; weights of red, green and blue in a grey: ", field("grey", table.grey?.join(", ") ?? "none",
      (text) => put("grey", text === "none" ? undefined
        : numbers(text).length === 3 ? numbers(text) : text)), ".");
}
