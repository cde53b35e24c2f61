/** Lengths as people write them, in the job's own units. */

/** @type {Record<string, number>} */
const MM_PER = {
  mm: 1, cm: 10, m: 1000, um: 0.001, "µm": 0.001, in: 25.4, inch: 25.4, inches: 25.4, '"': 25.4,
  pt: 25.4 / 72,
};
/** @type {Record<string, number>} */
const DECIMALS = { mm: 2, cm: 3, m: 5, in: 3, inch: 3, inches: 3, '"': 3, pt: 2, um: 0, "µm": 0 };

/**
 * The unit that a length is written in, or another if it is none.
 * @param {unknown} written
 * @param {string} [otherwise]
 */
export function unitOf(written, otherwise = "mm") {
  const unit = typeof written === "string" ? written.replace(/^[-+0-9.,\s]+/, "").trim() : "";
  return unit in MM_PER ? unit : otherwise;
}

/**
 * A length in mm; NaN where it is none.
 * @param {unknown} written
 * @param {number} [otherwise]  where nothing is written
 */
export function mmOf(written, otherwise = NaN) {
  if (written === undefined || written === null) return otherwise;
  const number = parseFloat(String(written).replace(",", "."));
  const unit = String(written).replace(/^[-+0-9.,\s]+/, "").trim();
  return number * (MM_PER[unit] ?? NaN);
}

/**
 * A length in a unit, as a job file has it: no figure beyond a hundredth of a millimetre.
 * @param {number} mm
 * @param {string} [unit]
 */
export function lengthIn(mm, unit = "mm") {
  const value = mm / (MM_PER[unit] ?? 1);
  const places = 10 ** (DECIMALS[unit] ?? 2);
  const round = Math.round(value * places) / places;
  return `${Object.is(round, -0) ? 0 : round} ${unit}`;
}

/**
 * A length for a sentence: to a tenth of a millimetre.
 * @param {number} mm
 */
export function told(mm) {
  const round = Math.round(mm * 10) / 10;
  return `${Object.is(round, -0) ? 0 : round} mm`;
}

/** @param {unknown} written  an angle in degrees, as a number or a text */
export function degreesOf(written) {
  return written === undefined ? 0 : parseFloat(String(written));
}
