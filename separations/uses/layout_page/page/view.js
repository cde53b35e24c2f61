/** How the board lies in the window: which way its nose points, how near it is, what is in sight. */

/** @typedef {import("./types.js").Point} Point */
/** @typedef {"right" | "left" | "up"} Nose */

const NEAREST = 60; // px a board mm
const ROUND = 24; // px left free round the board

export class View {
  /** @type {Nose} */
  nose = "right";
  scale = 1;
  /** @type {Point} */
  middle = [0, 0];
  width = 100;
  height = 100;
  least = 0.05;

  /** Across px for board x and y, then down px: a rotation without a mirror image. */
  get turn() {
    return { right: [1, 0, 0, -1], left: [-1, 0, 0, 1], up: [0, -1, -1, 0] }[this.nose];
  }

  /** The matrix from board mm to window px, as canvas and SVG take it: a, b, c, d, e, f. */
  get matrix() {
    const [xx, xy, yx, yy] = this.turn.map((part) => part * this.scale);
    const [x, y] = this.middle;
    return [xx, yx, xy, yy, this.width / 2 - xx * x - xy * y, this.height / 2 - yx * x - yy * y];
  }

  /** @param {Point} board @returns {Point} */
  toWindow([x, y]) {
    const [a, b, c, d, e, f] = this.matrix;
    return [a * x + c * y + e, b * x + d * y + f];
  }

  /** @param {Point} px @returns {Point} */
  toBoard([px, py]) {
    const [dx, dy] = this.byBoard([px - this.width / 2, py - this.height / 2]);
    return [this.middle[0] + dx, this.middle[1] + dy];
  }

  /** A step in px as a step in board mm. @param {Point} step @returns {Point} */
  byBoard([px, py]) {
    const [xx, xy, yx, yy] = this.turn;
    return [(xx * px + yx * py) / this.scale, (xy * px + yy * py) / this.scale];
  }

  /** What is in sight: least x, least y, greatest x, greatest y. */
  get sight() {
    const [a, b] = [this.toBoard([0, 0]), this.toBoard([this.width, this.height])];
    return [Math.min(a[0], b[0]), Math.min(a[1], b[1]), Math.max(a[0], b[0]),
      Math.max(a[1], b[1])];
  }

  /** Show all of a box. @param {readonly number[]} box @param {number} [round] */
  fit([x0, y0, x1, y1], round = ROUND) {
    const lying = this.nose !== "up";
    const [long, wide] = lying ? [x1 - x0, y1 - y0] : [y1 - y0, x1 - x0];
    this.scale = Math.min((this.width - 2 * round) / long, (this.height - 2 * round) / wide);
    this.middle = [(x0 + x1) / 2, (y0 + y1) / 2];
  }

  /** Come nearer to a place in the window. @param {number} factor @param {Point} [at] */
  nearer(factor, at = [this.width / 2, this.height / 2]) {
    const held = this.toBoard(at);
    this.scale = Math.min(Math.max(this.scale * factor, this.least), NEAREST);
    const now = this.toBoard(at);
    this.middle = [this.middle[0] + held[0] - now[0], this.middle[1] + held[1] - now[1]];
  }

  /** Move what is in sight by px. @param {Point} step */
  slide(step) {
    const [dx, dy] = this.byBoard(step);
    this.middle = [this.middle[0] - dx, this.middle[1] - dy];
  }

  /** Keep some of the board in sight. @param {readonly number[]} box */
  keep([x0, y0, x1, y1]) {
    this.middle = [Math.min(Math.max(this.middle[0], x0), x1),
      Math.min(Math.max(this.middle[1], y0), y1)];
  }

  /** @returns {View} */
  copy() {
    return Object.assign(new View(), this);
  }
}
