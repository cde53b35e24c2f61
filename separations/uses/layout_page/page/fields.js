/** Figures and choices that stand in sentences. */

import { make } from "./dom.js";

/** A sentence of words and fields. @param {...(string | Node)} parts */
export function words(...parts) {
  return make("p", { class: "figures" }, ...parts);
}

/** What was typed, a bare number in the unit that stood there. @param {string} typed
 * @param {string} before */
function withUnit(typed, before) {
  const [, unit] = before.match(/^[-+]?[\d.,]+\s*([^\d\s,]+)$/) ?? [];
  return unit && /^[-+]?\d*[.,]?\d+$/.test(typed) ? `${typed.replace(",", ".")} ${unit}` : typed;
}

/**
 * A figure that can be typed over.
 * @param {string} name
 * @param {unknown} value
 * @param {(value: string) => unknown} set
 */
export function field(name, value, set) {
  const shown = String(value ?? "");
  const input = make("input", {
    type: "text", class: "figure", value: shown, "aria-label": name, "data-key": `f ${name}`,
    autocomplete: "off", spellcheck: "false",
    onchange: () => {
      const now = withUnit(input.value.trim(), shown);
      if (!now || now === shown) input.value = shown;
      else void Promise.resolve(set(now)).then((done) => {
        if (done === false) input.value = shown; // refused: what holds is shown
      });
    },
    onkeydown: (/** @type {KeyboardEvent} */ event) => {
      if (event.key === "Enter") input.blur();
      if (event.key === "Escape") {
        input.value = shown;
        input.blur();
      }
      event.stopPropagation();
    },
  });
  input.size = Math.max(4, shown.length);
  input.addEventListener("input", () => {
    input.size = Math.max(4, input.value.length);
  });
  return input;
}

/**
 * Two lengths, along and across.
 * @param {string} name
 * @param {unknown[]} pair
 * @param {(value: string[]) => unknown} set
 */
export function fieldPair(name, pair, set) {
  const [along, across] = pair.map(String);
  return make("span", { class: "pair" },
    field(`${name}, towards the nose`, along, (value) => set([value, across])), ", ",
    field(`${name}, to the left`, across, (value) => set([along, value])));
}

/**
 * One of several, in words.
 * @param {string} name
 * @param {string} value
 * @param {Record<string, string>} choices
 * @param {(value: string) => unknown} set
 */
export function choice(name, value, choices, set) {
  const list = make("select", { class: "figure", "aria-label": name, "data-key": `c ${name}`,
    onchange: () => void set(list.value) },
  ...Object.entries(choices).map(([key, told]) => make("option", {
    value: key, selected: key === value }, told)));
  return list;
}

/**
 * Yes or no.
 * @param {string} name
 * @param {boolean} value
 * @param {string} told
 * @param {(value: boolean) => unknown} set
 */
export function yesNo(name, value, told, set) {
  const box = make("input", { type: "checkbox", checked: value, "data-key": `y ${name}`,
    onchange: () => void set(box.checked) });
  return make("label", { class: "tick" }, box, told);
}
