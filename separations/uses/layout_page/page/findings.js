/** What the checks found, live: quick ones at once, slow ones when they are measured. */

import { bringNear } from "./bench.js";
import { button, fill, make, part } from "./dom.js";
import { edit } from "./edits.js";
import { asked } from "./server.js";
import { hears, known, tell } from "./store.js";

/** @typedef {import("./types.js").Finding} Finding */
/** @typedef {import("./types.js").Mend} Mend */

const sheet = part("found");
const GRADES = /** @type {const} */ (["stop", "care", "note"]);
const MEANS = { stop: "the films would be waste", care: "look before exposing",
  note: "good to know" };
/** How long findings took from the edit to the page (ms), for whoever measures it. */
export const waits = /** @type {{kind: string, ms: number}[]} */ ([]);
let editedAt = performance.now();
let editedRevision = 0;
let faultTold = "";

/** Ask for what is found by now. */
export async function askFindings() {
  const found = await asked("/api/findings");
  if (found.revision && found.revision === editedRevision) {
    waits.push({ kind: found.pending ? "quick" : "all", ms: performance.now() - editedAt });
  }
  // An answer that was asked for earlier may come later.
  const pendingAgain = found.revision === known.found.revision && found.pending && !known.found.pending;
  if (found.revision >= known.found.revision && !pendingAgain) {
    known.found = found;
    known.pointed = null;
    faultTold = "";
    tell("found");
  }
}

/** The findings cannot be made: say why. @param {string} sentence */
export function findingsFault(sentence) {
  faultTold = sentence;
  draw();
}

function draw() {
  const { found, job } = known;
  if (!job) return;
  const old = found.revision !== job.revision;
  const ordered = GRADES.flatMap((grade) => found.findings
    .map((finding, n) => ({ finding, n })).filter(({ finding }) => finding.grade === grade));
  const clear = found.findings.filter((finding) => finding.grade === "clear").length;
  const counts = GRADES.map((grade) => {
    const many = ordered.filter((one) => one.finding.grade === grade).length;
    return `${many} ${grade}${many === 1 ? "" : "s"}`;
  });
  const first = !found.revision && !faultTold;
  const status = faultTold || (first ? "Checking the board…" : old ? "Checking what you changed…"
    : found.pending ? "Still being measured: what the meshes hold, moiré, the photo's own pixels."
      : `${clear} further checks passed.`);
  fill(sheet, make("h2", { id: "found-head", text: "What was found" }),
    first ? "" : make("p", { class: "counts" }, ...GRADES.map((grade, n) => make("span", {
      class: `count ${grade}`, text: counts[n], title: MEANS[grade] }))),
    make("p", { class: old || found.pending ? "hint pending" : "hint", role: "status",
      text: status }),
    make("ol", { class: old ? "findings old" : "findings" },
      ...ordered.map(({ finding, n }) => shown(finding, n))),
    ...orphans(),
    ordered.length ? make("p", { class: "hint", text: "Words with an underscore, such as "
      + "heat_limit, are keys of the job file: any text editor opens it, and what is saved there "
      + "is taken up here." }) : "");
}

/** @param {Finding} finding @param {number} n */
function shown(finding, n) {
  const mends = mendsOf(finding);
  const point = () => {
    known.pointed = n;
    if (finding.box) bringNear(finding.box);
    part("bench").scrollIntoView({ block: "nearest" });
    tell("found");
  };
  return make("li", { class: `finding ${finding.grade}`, "aria-current": known.pointed === n },
    make("h3", {}, make("span", { class: "grade", text: finding.grade }), " ",
      `${finding.check}, ${finding.subject}`),
    make("p", { text: finding.says }),
    finding.mend ? make("p", { class: "mend", text: finding.mend }) : null,
    make("div", { class: "row" },
      finding.box ? button("Show the place", point, { "data-key": `place ${n}`,
        title: finding.where }) : null,
      ...mends.map((mend) => mendButton(mend, n))),
    make("details", {}, make("summary", { text: "Figures", "data-key": `figures ${n}` }),
      make("p", { class: "small", text: `Measured ${finding.measured}; limit ${finding.limit}. `
        + `${finding.source}.${finding.where ? ` Where: ${finding.where}.` : ""}` })));
}

/** Mends whose reason is this finding. @param {Finding} finding */
function mendsOf(finding) {
  return known.found.mends.filter((mend) => mend.why.includes(finding.says)
    && (mend.why.includes(finding.subject) || mend.path[0] === "art"));
}

/** Mends that no finding's own words lead to. */
function orphans() {
  const told = new Set(known.found.findings.filter((one) => one.grade !== "clear")
    .flatMap(mendsOf));
  const left = known.found.mends.filter((mend) => !told.has(mend));
  return left.length ? [make("h3", { text: "A machine may mend" }), make("ul", { class: "plain" },
    ...left.map((mend, n) => make("li", {}, make("p", { text: mend.why }),
      mendButton(mend, 1000 + n))))] : [];
}

/** @param {Mend} mend @param {number} n */
function mendButton(mend, n) {
  return button(`Mend: ${mend.words} ${mend.before === null ? "" : `${mend.before} `}→ ${
    mend.after}`, () => void edit([{ set: mend.path, to: mend.after }], `mended the ${mend.words}`),
  { class: "mends", "data-key": `mend ${n} ${mend.key}` });
}

/** Begin. */
export function startFindings() {
  hears(["job"], () => {
    if (known.job && known.job.revision !== editedRevision) {
      editedRevision = known.job.revision;
      editedAt = performance.now();
    }
  });
  hears(["job", "found"], draw);
}
