/**
 * What the server tells, in words for the type checker.
 *
 * @typedef {[number, number]} Point  x and y in board mm, or in the window's px
 * @typedef {{a: number, b: number, c: number, d: number, e: number, f: number}} Matrix
 *
 * @typedef {object} Board
 * @property {string} name
 * @property {string} stage
 * @property {string} side
 * @property {string} trim  an SVG path in board mm, as are the following
 * @property {string} printed
 * @property {string} bleed
 * @property {string} safe
 * @property {[number, number, number, number]} bounds
 * @property {[number, number, number, number]} trimBounds
 * @property {Point[]} hull
 * @property {{foot: string, hole: number, holes: string[], binding: string, clear: string}[]} inserts
 * @property {{name: string, path: string, off: boolean, at: Point}[]} keepOuts
 * @property {{name: string, path: string, at: Point}[]} important
 *
 * @typedef {object} SceneArt
 * @property {number} order
 * @property {string} file
 * @property {"photo" | "line" | "flat"} kind
 * @property {string | null} ink
 * @property {[number, number]} px
 * @property {[number, number]} whole  its size before it is cropped
 * @property {number} ppi
 * @property {number} fill
 * @property {string} content
 * @property {[number, number, number, number, number, number]} matrix
 *
 * @typedef {object} Drawn
 * @property {"art" | "line" | "track" | "plan" | "note"} table
 * @property {number} at
 * @property {string} kind
 * @property {string} ink
 * @property {string} subject
 * @property {number} tint
 * @property {number[]} bounds
 * @property {string} path
 * @property {Point} [point]
 * @property {Point} [label]
 * @property {number} [type]
 * @property {Point[]} [points]
 * @property {boolean} [smooth]
 * @property {number} [width]
 *
 * @typedef {object} SceneInk
 * @property {string} name
 * @property {"photo" | "line work" | "underbase"} prints
 * @property {[number, number, number]} srgb
 * @property {number} angle
 * @property {number} lpcm
 * @property {string} ruling
 * @property {{pitch: number, thread: number, angle: number}} mesh
 *
 * @typedef {object} Scene
 * @property {Board | null} board
 * @property {SceneArt[]} art
 * @property {Drawn[]} drawn
 * @property {Record<string, {size: [number, number], page?: number, pages?: number,
 *   mm?: [number, number]}>} pages
 * @property {{place: number, at: Point, wrong: boolean}[]} [landmarks]
 * @property {SceneInk[]} inks
 * @property {[number, number, number] | null} wood
 * @property {[number, number, number][]} overprints
 * @property {{dpi: number, along: number, across: number}} film
 * @property {string[]} faults
 *
 * @typedef {Record<string, any>} Table  a table of the job file, as it is written
 *
 * @typedef {object} Job
 * @property {boolean} open
 * @property {number} revision
 * @property {string} file
 * @property {string} folder
 * @property {boolean} unsaved
 * @property {string | null} undoes
 * @property {string | null} redoes
 * @property {string} otherHand
 * @property {string} remark
 * @property {Table} document
 * @property {Scene} scene
 * @property {string} boardDigest
 * @property {string[]} beside
 * @property {string[]} renderings
 * @property {{state: string, says: string, share: number}} films
 *
 * @typedef {{set: (string | number)[], to: any} | {unset: (string | number)[]}
 *   | {add: string, keys: Table, at?: number} | {remove: string, at: number}
 *   | {move: string, at: number, to: number}} Edit
 *
 * @typedef {object} Finding
 * @property {string} check
 * @property {string} subject
 * @property {"stop" | "care" | "note" | "clear"} grade
 * @property {string} says
 * @property {string} mend
 * @property {string} measured
 * @property {string} limit
 * @property {string} source
 * @property {string} where
 * @property {[number, number, number, number] | null} box
 *
 * @typedef {{key: string, words: string, before: string | number | boolean | null, after: any, why: string, path: (string | number)[]}} Mend
 * @typedef {{revision: number, pending: boolean, findings: Finding[], mends: Mend[]}} Found
 *
 * @typedef {[number, number, number]} Grams  low, likely, high
 * @typedef {object} InkNeed
 * @property {number} boards
 * @property {number} tin
 * @property {number} tins
 * @property {{ink: string, tone: number, board: Grams, run: Grams}[]} inks
 * @property {Grams} board
 * @property {Grams} run
 *
 * @typedef {{table: "art" | "line" | "track" | "note", at: number}} Thing  what lies on the board
 */

export {};
