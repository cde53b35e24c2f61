/** Elements made from code: texts are texts, whatever stands in them. */

/**
 * @template {keyof HTMLElementTagNameMap} Tag
 * @param {Tag} tag
 * @param {Record<string, any>} [traits]  attributes; `on…` functions listen, `text` is its text
 * @param {...(Node | string | null | undefined | false)} parts
 * @returns {HTMLElementTagNameMap[Tag]}
 */
export function make(tag, traits = {}, ...parts) {
  const made = document.createElement(tag);
  give(made, traits);
  made.append(...parts.filter((part) => part !== null && part !== undefined && part !== false)
    .map((part) => /** @type {Node | string} */ (part)));
  return made;
}

/**
 * @param {string} tag
 * @param {Record<string, any>} [traits]
 * @param {...Node} parts
 * @returns {SVGElement}
 */
export function draw(tag, traits = {}, ...parts) {
  const made = /** @type {SVGElement} */ (
    document.createElementNS("http://www.w3.org/2000/svg", tag));
  give(made, traits);
  made.append(...parts);
  return made;
}

/** @param {Element} element @param {Record<string, any>} traits */
export function give(element, traits) {
  for (const [name, value] of Object.entries(traits)) {
    if (value === undefined || value === null || value === false) continue;
    if (name === "text") element.textContent = String(value);
    else if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name === "value" && "value" in element) element.value = value;
    else element.setAttribute(name, value === true ? "" : String(value));
  }
}

/**
 * The element of an id, which the page's own text has.
 * @param {string} id
 * @returns {any}
 */
export function part(id) {
  const found = document.getElementById(id);
  if (!found) throw new Error(`the page has no part '${id}'`);
  return found;
}

/** The control that is pressed, open or typed in: it must not be replaced under the hand.
 * @type {Element | null} */
let used = null;
/** What waits to be put in its place. @type {Map<Element, (Node | string)[]>} */
const waiting = new Map();
/** A tap's click may come this much later than the finger goes (ms). */
const CLICK_AFTER = 40;

function free() {
  used = null;
  const late = [...waiting];
  waiting.clear();
  late.forEach(([element, parts]) => fill(element, ...parts));
}

document.addEventListener("pointerdown", (event) => {
  used = /** @type {Element} */ (event.target).closest("button, a, select, summary, label, input");
}, true);
document.addEventListener("input", (event) => {
  used = /** @type {Element} */ (event.target);
}, true);
for (const end of ["pointerup", "pointercancel"]) {
  document.addEventListener(end, () => {
    if (used && !used.matches("select, input[type=text]")) setTimeout(free, CLICK_AFTER);
  }, true);
}
for (const end of ["click", "change", "focusout"]) {
  document.addEventListener(end, () => {
    if (used && (end !== "click" || !used.matches("select, input[type=text]"))) setTimeout(free);
  }, true);
}

/**
 * Put new children in an element without taking the focus from the one that has it; while a control
 * in it is pressed, open or typed in, that waits.
 * @param {Element} element
 * @param {...(Node | string)} parts
 */
export function fill(element, ...parts) {
  if (used && element.contains(used)) {
    waiting.set(element, parts);
    return;
  }
  waiting.delete(element);
  const held = document.activeElement;
  const key = held && element.contains(held) ? held.getAttribute("data-key") : null;
  element.replaceChildren(...parts);
  if (key) {
    /** @type {HTMLElement | null} */ (
      element.querySelector(`[data-key="${CSS.escape(key)}"]`))?.focus({ preventScroll: true });
  }
}

/**
 * A button.
 * @param {string} words
 * @param {() => void} press
 * @param {Record<string, any>} [traits]
 */
export function button(words, press, traits = {}) {
  return make("button", { type: "button", onclick: press, "data-key": words, ...traits }, words);
}
