/** The figures of a recorded track, in sentences: it is drawn as they say, and lies where it was seen. */

import { choice, field, words } from "./fields.js";
import { make } from "./dom.js";
import { known } from "./store.js";

/** @typedef {import("./types.js").Table} Table */
/** @typedef {(now: Table, what: string) => Promise<boolean>} Set */

/** @param {Table} table @param {Set} set @returns {Node[]} */
export function trackFigures(table, set) {
  const inks = known.job?.scene.inks.map((ink) => ink.name) ?? [];
  const with_ = (/** @type {string} */ key) => (/** @type {any} */ value) => {
    const { [key]: _, ...rest } = table;
    return set(value === undefined ? rest : { ...rest, [key]: value }, key.replace("_", " "));
  };
  const dashes = (/** @type {string} */ value) => {
    const parts = (value === "none" ? "" : value).split(/[,;]/).map((one) => one.trim()).filter(Boolean);
    return with_("dashes")(parts.length ? parts : undefined);
  };
  return [
    words("Drawn ", field("width", table.width ?? "0.6 mm", with_("width")), " wide, in ",
      choice("ink", table.ink, Object.fromEntries(inks.map((ink) => [ink, ink])), with_("ink")),
      ", with ", field("casing", table.casing ?? "0 mm", with_("casing")),
      " of clear wood on either side."),
    words("Dashes and gaps ", field("dashes", (table.dashes ?? []).join(", ") || "none", dashes),
      "; an arrow of ", field("arrow", table.arrow ?? "0 mm", with_("arrow")), " at its end."),
    words("Parts behind the land are ", choice("hidden", table.hidden ?? "dashed", {
      dashed: "dashed", thin: "thinner", "left out": "left out", drawn: "drawn like the others" },
    with_("hidden")), "; it is smoothed by up to ",
    field("tolerance", table.tolerance ?? "0.3 mm", with_("tolerance")), "."),
    make("label", { class: "wide" }, "A name along it", make("input", { type: "text",
      value: table.name ?? "", maxlength: 120, "data-key": "track name",
      onchange: (/** @type {Event} */ event) => {
        const { value } = /** @type {HTMLInputElement} */ (event.target);
        void with_("name")(value.trim() || undefined);
      } })),
  ];
}
