/** What is drawn over the picture and no hand moves: edges, margins, holes, places of findings. */

import { draw } from "./dom.js";
import { shownOf } from "./pictures.js";
import { known } from "./store.js";

/** @typedef {import("./types.js").Point} Point */
/** @typedef {import("./view.js").View} View */

/** @type {SVGElement | null} */
let edges = null;
let edgesOf = "";

/** All of it. @param {View} view @returns {SVGElement[]} */
export function still(view) {
  const { job } = known;
  if (!job?.scene.board) return [];
  if (!edges || edgesOf !== job.boardDigest) {
    edges = outlines(job.scene.board);
    edgesOf = job.boardDigest;
  }
  edges.setAttribute("transform", `matrix(${view.matrix.join(" ")})`);
  return [edges, names(view), marks(view), landmarks(view)];
}

/** @param {import("./types.js").Board} board */
function outlines(board) {
  /** @param {string} d @param {string} kind @param {string} [told] */
  const line = (d, kind, told) => {
    const path = draw("path", { d, class: kind });
    if (told) path.append(draw("title", { text: told }));
    return path;
  };
  return draw("g", { class: "edges" },
    line(board.bleed, "bleed", "end of the bleed"), line(board.trim, "trim", "trim"),
    ...(board.printed !== board.bleed ? [line(board.printed, "bare", "printed area")] : []),
    line(board.safe, "safe", "safety margin"),
    ...board.inserts.flatMap((pack) => [line(pack.binding, "binding", "binding disc"),
      ...(pack.clear ? [line(pack.clear, "bare", "no ink")] : []),
      ...pack.holes.map((hole) => line(hole, "hole", "insert"))]),
    ...board.keepOuts.map((one) => line(one.path, one.off ? "keep-out" : "keep-out over", one.name)),
    ...board.important.map((one) => line(one.path, "important", one.name)));
}

/** Names of keep-outs and important places, and which end is the nose. @param {View} view */
function names(view) {
  const board = known.job?.scene.board;
  const group = draw("g", { class: "names" });
  if (!board) return group;
  for (const one of [...board.keepOuts, ...board.important]) {
    const [x, y] = view.toWindow(one.at);
    group.append(draw("text", { x, y, text: one.name }));
  }
  const ends = /** @type {[string, Point][]} */ ([
    ["nose", [board.bounds[2], 0]], ["tail", [board.bounds[0], 0]]]);
  for (const [word, end] of ends) {
    const [x, y] = view.toWindow(end);
    const outwards = view.turn[0] * (word === "nose" ? 1 : -1);
    const side = outwards > 0 ? "before" : outwards < 0 ? "after" : "";
    const [dx, dy] = outwards ? [outwards * -14, 0] : [0, word === "nose" ? 20 : -12];
    group.append(draw("text", { x: x + dx, y: y + dy, class: `end ${side}`, text: word }));
  }
  if (!shownOf("") && !known.job?.scene.faults.length) group.append(draw("text", { class: "end",
    x: view.width / 2, y: view.height / 2 - 34, text: "The print's picture is on its way…" }));
  return group;
}

/** Where landmarks are marked, each with its number. @param {View} view */
function landmarks(view) {
  return draw("g", { class: "landmarks" }, ...(known.job?.scene.landmarks ?? []).map((one) => {
    const [x, y] = view.toWindow(one.at);
    const d = "M-8 0H-2M2 0H8M0 -8V-2M0 2V8";
    return draw("g", { class: one.wrong ? "landmark wrong" : "landmark",
      transform: `translate(${x} ${y})` }, draw("path", { d, class: "under" }), draw("path", { d }),
    draw("text", { x: 9, y: -5, text: String(one.place + 1) }));
  }));
}

/** Places of findings. @param {View} view */
function marks(view) {
  const group = draw("g", { class: "marks" });
  known.found.findings.forEach((finding, n) => {
    if (!finding.box || finding.grade === "clear") return;
    const shown = known.pointed === n;
    if (!shown && finding.grade === "note") return;
    const [a, b] = [view.toWindow([finding.box[0], finding.box[1]]),
      view.toWindow([finding.box[2], finding.box[3]])];
    const [x, y] = [Math.min(a[0], b[0]) - 4, Math.min(a[1], b[1]) - 4];
    const [w, h] = [Math.abs(a[0] - b[0]) + 8, Math.abs(a[1] - b[1]) + 8];
    group.append(draw("rect", { x, y, width: w, height: h, rx: 4,
      class: `mark ${finding.grade}${shown ? " shown" : ""}` }),
    draw("text", { x: Math.max(x, 4), y: Math.max(y - 4, 12), class: `mark-word ${finding.grade}`,
      text: finding.check }));
  });
  return group;
}
