/** What the lines on the board mean, as they are drawn there, and what keys do. */

import { draw, make } from "./dom.js";
import { known } from "./store.js";

/** Which lists are open: they stay so when the sheet is drawn anew. @type {Set<string>} */
const open = new Set();

/** @param {string} key @param {string} words @param {Node} what */
function opening(key, words, what) {
  const made = make("details", { open: open.has(key), ontoggle: () => {
    if (made.open) open.add(key);
    else open.delete(key);
  } }, make("summary", { "data-key": key, text: words }), what);
  return made;
}

/** Which lines this board has, by their classes on the board. */
function lines() {
  const board = known.job?.scene.board;
  if (!board) return [];
  const pressed = board.printed !== board.bleed;
  return /** @type {[string, string, boolean][]} */ ([
    ["trim", "the board's own edge, where it is cut", true],
    ["bleed", "the end of the bleed: what lies between is cut off", true],
    ["bare", "the end of what can be printed", pressed],
    ["safe", "the safety margin: nothing that matters beyond it", true],
    ["binding", "what a binding covers", board.inserts.length > 0],
    ["hole", "an insert", board.inserts.length > 0],
    ["keep-out", "a place that is kept free of ink", board.keepOuts.length > 0],
    ["important", "a place that is to be seen", board.important.length > 0],
  ]).filter(([, , there]) => there);
}

/** A list that opens. */
export function legend() {
  return opening("legend", "What the lines on the board mean", make("ul", { class: "legend" },
  ...lines().map(([kind, means]) => make("li", {}, draw("svg", { class: "edges", width: 46, height: 16,
    "aria-hidden": "true" }, draw("path", { class: kind, d: kind === "hole"
    ? "M18 8a5 5 0 1 0 10 0a5 5 0 1 0 -10 0" : kind === "keep-out" ? "M4 3H42V13H4Z" : "M2 8H44" })),
  make("span", { text: means })))));
}

/** What keys do, each with the words of its own. */
const KEYS = [["arrow keys", "move what is in the hand by 1 mm, with Shift by 0.1 mm"],
  ["+  −", "make it larger and smaller"], ["[  ]", "turn it"], ["Delete", "takes it off the board"],
  ["Escape", "puts it down"], ["Enter", "on a note or line in the hand types its words"],
  ["P", "held, shows the photo itself"], ["0", "shows the whole board"],
  ["Ctrl Z, Ctrl Y, Ctrl S", "undo, redo, save, anywhere on the page"]];

/** A list that opens. */
export function keysTold() {
  return opening("keys", "Keys on the board",
    make("dl", { class: "keys" }, ...KEYS.flatMap(([key, does]) => [make("dt", {}, make("kbd",
      { text: key })), make("dd", { text: does })])));
}
