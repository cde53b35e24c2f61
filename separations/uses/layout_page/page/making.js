/** Films made from the page: begun, followed, stopped, and what came out. */

import { button, fill, make, part } from "./dom.js";
import { refreshed, settled } from "./edits.js";
import { asked, posted } from "./server.js";
import { hears, known, tell } from "./store.js";

const sheet = part("films");
/** @type {{folder: string, files: {name: string, link: string}[]} | null} */
let made = null;
let fault = "";
let despite = false;
/** Whether the run that goes on was asked to end: it does so at its next step. */
let stopping = false;

/** What each file is for, by how its name begins; those named first are told first. */
const MEANT = /** @type {[string, string][]} */ ([
  ["report.html", "read this first: findings, pictures, figures"],
  ["films/", "a film, to be exposed at 100 %"], ["operator.pdf", "for whoever prints"],
  ["ink.csv", "what to order"], ["proof.png", "how the board will look"],
  ["proof-dots.png", "its dots from near by"], ["report.json", "all figures, for other programs"],
  ["made-of.json", "what all this was made of"]]);

/** @param {string} name */
const rank = (name) => {
  const found = MEANT.findIndex(([begins]) => name.startsWith(begins));
  return found < 0 ? MEANT.length : found;
};

/** Ask what the last run made. */
async function askMade() {
  made = await asked("/api/made").catch(() => null);
  made?.files.sort((a, b) => rank(a.name) - rank(b.name));
  draw();
}

async function start() {
  fault = "";
  try {
    await settled();
    await posted("/api/films", { despite });
    await refreshed();
  } catch (thrown) {
    fault = /** @type {Error} */ (thrown).message;
  }
  draw();
}

async function stop() {
  stopping = true;
  draw();
  await posted("/api/films", { stop: true }).catch(() => {
    stopping = false;
    draw();
  });
}

function draw() {
  const { job, films } = known;
  if (!job) return;
  const running = films.state === "running";
  const bar = make("progress", { max: 1, value: films.share, "aria-label": "Films made" });
  const stops = known.found.findings.some((one) => one.grade === "stop");
  const tick = make("input", { type: "checkbox", checked: despite, "data-key": "despite",
    onchange: () => {
      despite = tick.checked;
      draw();
    } });
  fill(sheet, make("h2", { id: "films-head", text: "Films" }),
    make("div", { class: "row" }, running
      ? button(stopping ? "Stopping…" : "Stop making films", () => void stop(),
        { disabled: stopping, "data-key": "stop" })
      : button(job.unsaved ? "Save and make films" : "Make films", () => void start(),
        { class: "main" }), running ? bar : null),
    !running && stops ? make("label", { class: "tick" }, tick,
      "make the films even though a finding says stop") : "",
    make("p", { class: fault || films.state === "failed" ? "hint bad" : "hint", role: "status",
      text: fault || films.says || (stops && !despite ? "A finding says stop: as it is, all but the "
        + "films would be made." : "Checks the job, makes a film for each ink and all that goes with "
        + "them, and reads each film back.") }),
    made?.files.length && !running ? make("div", {},
      make("p", { class: "small", text: `In ${made.folder}:` }),
      make("ul", { class: "made" }, ...made.files.map(({ name, link }) => make("li", {},
        make("a", { href: link, target: "_blank", rel: "noopener", "data-key": `made ${name}` },
          name), rank(name) < MEANT.length ? make("span", { class: "small",
        text: ` ${MEANT[rank(name)][1]}` }) : null)))) : "",
    make("p", { class: "small", text: "UV lamps, solvents, uncured inks and the hot press can hurt "
      + "you: the safety data sheets, your local codes and licensed practice decide." }));
}

/** News of a run. @param {{state: string, says: string, share: number}} news */
export function filmNews(news) {
  const was = known.films.state;
  known.films = news;
  tell("films");
  if (news.state !== "running") stopping = false;
  if (was === "running" && news.state !== "running") void askMade();
}

/** Begin. */
export function startMaking() {
  hears(["job", "films", "found"], draw);
  void askMade();
}
