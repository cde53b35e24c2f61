/** The inks: how they lie, how much they take, on and off the picture; the photo itself. */

import { button, fill, make, part } from "./dom.js";
import { edit } from "./edits.js";
import { choice, field, words } from "./fields.js";
import { showPhoto } from "./keys.js";
import { asked } from "./server.js";
import { hears, known, tell } from "./store.js";

const sheet = part("inks");
let asking = 0;

/** Ask how much ink the job takes now. */
async function askInk() {
  const mine = ++asking;
  try {
    const need = await asked("/api/ink");
    if (mine !== asking) return;
    known.ink = need;
    tell("ink");
  } catch {
    // the picture says what is wrong
  }
}

/** @param {number} grams */
const grams = (grams) => grams >= 100 ? `${Math.round(grams)} g` : `${grams.toFixed(1)} g`;

function draw() {
  const { job, ink } = known;
  if (!job) return;
  const { document } = job;
  const rows = job.scene.inks.map((one, n) => {
    const need = ink?.inks[n];
    const chip = make("span", { class: "chip" });
    chip.style.backgroundColor = `rgb(${one.srgb.join(" ")})`;
    const box = make("input", { type: "checkbox", checked: !known.without.has(one.name),
      "aria-label": `${one.name} on the picture`, "data-key": `ink ${n}`, onchange: () => {
        if (box.checked) known.without.delete(one.name);
        else known.without.add(one.name);
        tell("shown");
      } });
    return make("tr", {}, make("th", { scope: "row" }, make("label", { class: "tick" }, box, chip,
      one.name)), make("td", { class: "number", text: need ? `${Math.round(need.tone * 100)} %` : "…" }),
    make("td", { class: "number", text: need ? grams(need.board[1]) : "…" }),
    make("td", { class: "number", text: need ? grams(need.run[1]) : "…" }));
  });
  const total = ink ? make("tfoot", {}, make("tr", {}, make("th", { scope: "row", text: "All inks" }),
    make("td"), make("td", { class: "number", text: grams(ink.board[1]) }),
    make("td", { class: "number", text: grams(ink.run[1]) }))) : null;
  fill(sheet, make("h2", { id: "inks-head", text: "Colour and ink" }), photoButton(),
    make("table", {}, make("caption", { class: "unseen", text: "The inks, in print order" }),
      make("thead", {}, make("tr", {}, ...["Ink", "mean tone", "one board",
        `run of ${document.boards ?? 1}`].map((head, n) => make("th", { scope: "col",
        class: n ? "number" : "", text: head })))), make("tbody", {}, ...rows), total),
    ink ? make("p", { class: "hint", text: `Likely figures, from the films' tones; the run's include what `
      + `stays in the screens. An ink without its tick is only left off the picture. Between ${grams(ink.run[0])} and ${grams(ink.run[2])} in all.` })
      : make("p", { class: "hint", text: "Reckoning the ink…" }),
    words("The run makes ", field("boards", String(document.boards ?? 1), (value) => edit(
      [{ set: ["boards"], to: Math.round(Number(value)) || 1 }], "number of boards")), `${document.boards === 1 ? " board" : " boards"}, at `,
    field("ruling", document.halftone?.ruling ?? "", (value) => edit(
      [{ set: ["halftone", "ruling"], to: value }], "ruling")), ", the photo rendered ",
    choice("rendering", document.separation?.rendering ?? job.renderings[0],
      Object.fromEntries(job.renderings.map((one) => [one, one])), (value) => edit(
        [{ set: ["separation", "rendering"], to: value }], "rendering")), "."));
}

const photoWords = () => known.photo ? "Show the print again" : "Hold to see the photo itself";

/** A button that shows the photo itself while it is held; a short press leaves it on. */
function photoButton() {
  let since = 0;
  let was = false;
  const press = () => {
    since = performance.now();
    was = known.photo;
    showPhoto(true);
  };
  const leave = () => {
    if (since && (was || performance.now() - since > 300)) showPhoto(false);
    since = 0;
    const held = /** @type {HTMLElement | null} */ (sheet.querySelector('[data-key="photo"]'));
    if (held) held.textContent = photoWords();
  };
  return make("p", {}, button(photoWords(),
    () => {}, { "data-key": "photo", "aria-pressed": String(known.photo), title: "or hold the key P on the board",
      onpointerdown: press, onpointerup: leave, onpointerleave: leave, onpointercancel: leave,
      onkeydown: (/** @type {KeyboardEvent} */ event) => {
        if ((event.key === " " || event.key === "Enter") && !event.repeat) {
          event.preventDefault();
          press();
        }
      },
      onkeyup: (/** @type {KeyboardEvent} */ event) => {
        if (event.key === " " || event.key === "Enter") leave();
      } }));
}

/** Begin. */
export function startInks() {
  let revision = 0;
  // After the findings that come at once: people wait for these.
  hears(["found"], () => {
    if (known.job && known.found.revision === known.job.revision
      && revision !== known.job.revision) {
      revision = known.job.revision;
      void askInk();
    }
  });
  hears(["job", "ink"], draw);
  let photo = false;
  hears(["shown"], () => {
    if (photo !== known.photo) {
      photo = known.photo;
      const held = /** @type {HTMLElement | null} */ (sheet.querySelector('[data-key="photo"]'));
      if (!held) return;
      if (!photo) held.textContent = photoWords();
      held.setAttribute("aria-pressed", String(photo));
    }
  });
}
