/** The layout page: puts its parts together and hears the server's news. */

import { placeOf, pointNose, startBench, view, wholeBoard, repaint } from "./bench.js";
import { startBegin } from "./begin.js";
import { startComparing } from "./comparing.js";
import { button, fill, make, part } from "./dom.js";
import { startDrawing } from "./drawing.js";
import { complainsTo, inTurn, redo, refreshed, save, settled, undo } from "./edits.js";
import { askFindings, findingsFault, startFindings } from "./findings.js";
import { startHands } from "./hands.js";
import { startLettering } from "./lettering.js";
import { choose, settle, startHeld } from "./held.js";
import { startInks } from "./inks.js";
import { dotsReady, loupeIsOn, startLoupe, toggleLoupe } from "./loupe.js";
import { filmNews, startMaking } from "./making.js";
import { picturesComplainTo } from "./pictures.js";
import { asked, listen } from "./server.js";
import { hears, known, tell } from "./store.js";
import { addFile } from "./added_files.js";
import { startTapCross } from "./tap_cross.js";
import { startThings } from "./things.js";

/** Sentences that are to be heard, by where they come from. @type {Map<string, string>} */
const sentences = new Map();

/** @param {string} from @param {string} sentence */
function say(from, sentence) {
  if (sentence) sentences.set(from, sentence);
  else sentences.delete(from);
  telling();
}

function telling() {
  const { job } = known;
  const lines = [...sentences.entries()].map(([from, text]) => make("p", {}, text, " ",
    button("Close", () => say(from, ""), { class: "small", "data-key": `close ${from}` })));
  const other = job?.otherHand ? [make("div", {}, make("p", { text: job.otherHand }),
    make("div", { class: "row" },
      button("Keep mine", () => void inTurn("/api/settle", () => ({ choice: "mine" }))),
      button("Use the file's", () => void inTurn("/api/settle", () => ({ choice: "theirs" })))))]
    : [];
  const remark = job?.remark ? [make("p", { class: "remark", text: job.remark })] : [];
  const faults = (job?.scene.faults ?? []).map((text) => make("p", { text }));
  fill(part("telling"), ...lines, ...other, ...faults, ...remark);
}

function acts() {
  const { job } = known;
  if (!job) return;
  document.title = `${job.unsaved ? "• " : ""}${job.document.title}, topsheet layout`;
  part("title").textContent = job.document.title;
  part("file").textContent = job.unsaved ? `${job.file}: changes not saved yet, but kept`
    : `${job.file}, saved`;
  fill(part("acts"),
    button("Undo", () => {
      settle();
      void undo();
    }, { disabled: job.undoes === null, title: job.undoes ? `takes back: ${job.undoes}` : "" }),
    button("Redo", () => void redo(), { disabled: job.redoes === null,
      title: job.redoes ? `makes again: ${job.redoes}` : "" }),
    button("Save", () => {
      settle();
      void save();
    }, { disabled: !job.unsaved, class: "main" }),
    make("a", { href: "#films", "data-key": "to films", text: "To the films" }));
}

function views() {
  const nose = (/** @type {"right" | "left" | "up"} */ way, /** @type {string} */ sign) => button(
    sign, () => {
      pointNose(way);
      views();
    }, { "aria-label": `Nose ${way === "up" ? "up" : `to the ${way}`}`,
      "aria-pressed": String(view.nose === way), class: "small" });
  const slide = (/** @type {[number, number]} */ way, /** @type {string} */ sign,
    /** @type {string} */ told) => button(sign, () => {
    view.slide([way[0] * view.width / 3, way[1] * view.height / 3]);
    view.keep(known.job?.scene.board?.bounds ?? [0, 0, 0, 0]);
    repaint();
  }, { "aria-label": `Look further ${told}`, class: "small" });
  const near = (/** @type {number} */ factor) => () => {
    view.nearer(factor);
    repaint();
  };
  fill(part("views"),
    button("Whole board", wholeBoard), button("Nearer", near(1.5)), button("Farther", near(1 / 1.5)),
    make("span", { class: "set" }, slide([1, 0], "⇠", "left"), slide([-1, 0], "⇢", "right"),
      slide([0, 1], "⇡", "up"), slide([0, -1], "⇣", "down")),
    make("span", { class: "set" }, make("span", { class: "label", text: "Nose" }),
      nose("left", "←"), nose("up", "↑"), nose("right", "→")),
    button("Loupe", toggleLoupe, { "aria-pressed": String(loupeIsOn()) }));
}

/** A job is open: show it. */
async function work() {
  part("begin").hidden = true;
  part("work").hidden = false;
  startBench();
  // What is led to must not lie hidden beneath the bench, which stays in sight.
  new ResizeObserver(() => document.documentElement.style.setProperty("--bench",
    `${part("bench").offsetHeight}px`)).observe(part("bench"));
  views();
  startHands();
  startHeld();
  startThings((sentence) => say("file", sentence));
  startDrawing();
  startLettering();
  startTapCross();
  startFindings();
  startInks();
  startComparing();
  startLoupe();
  startMaking();
  hears(["job"], acts);
  hears(["dots"], views);
  hears(["job"], telling);
  await refreshed();
  void askFindings();
  document.addEventListener("dragover", (event) => event.preventDefault());
  document.addEventListener("drop", (event) => {
    event.preventDefault();
    const where = event.target instanceof Element && event.target.closest("#table")
      ? placeOf(event) : undefined;
    [...(event.dataTransfer?.files ?? [])].forEach((file) => void addFile(file, where));
  });
}

/** A newer text is there: ask for it, unless an edit of this page made it and brings it along.
 * @param {number} revision */
async function heardOf(revision) {
  await settled();
  if (known.job && revision > known.job.revision) await refreshed();
}

/** @param {any} news */
function hear(news) {
  if (!known.job && news.kind !== "job") return;
  if (news.kind === "job") void heardOf(news.revision);
  else if (news.kind === "file") void refreshed();
  else if (news.kind === "findings") void askFindings();
  else if (news.kind === "fault") findingsFault(news.sentence);
  else if (news.kind === "dots") {
    known.dots = news.revision;
    tell("dots");
    dotsReady();
  } else if (news.kind === "films") filmNews(news);
  else if (news.kind === "hello" && known.job) {
    void refreshed();
    void askFindings();
  }
}

/** Links within the page lead to its parts and leave its address alone, which carries the key.
 * @param {MouseEvent} event */
function within(event) {
  const link = event.target instanceof Element && event.target.closest("a[href^='#']");
  const there = link && document.getElementById(link.getAttribute("href")?.slice(1) ?? "");
  if (!there) return;
  event.preventDefault();
  there.scrollIntoView();
  there.focus({ preventScroll: true });
}

async function start() {
  document.addEventListener("click", within);
  complainsTo((sentence) => say("edit", sentence));
  picturesComplainTo((sentence) => say("picture", sentence));
  try {
    const first = await asked("/api/job");
    if (first.open) await work();
    else {
      await startBegin(() => {
        void work().then(() => choose({ table: "art", at: 0 }));
      });
    }
    listen(hear, (there) => say("server", there ? "" : "The server of this page is not there. What "
      + "was changed is kept beside the job; start topsheet layout again to go on."));
  } catch (fault) {
    say("server", /** @type {Error} */ (fault).message || "The server of this page is not there.");
  }
}

void start();
