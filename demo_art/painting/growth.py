"""Plants as strokes: blades, sprigs and needles, and seamless tiles of them."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Picture = NDArray[np.uint8]
_SHIFT = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Blades:
    """Strokes that grow from their roots, the first ones farthest away.

    Attributes
    ----------
    roots_px : ndarray, shape (n, 2), float64
    length_px, lean_rad, bend : ndarray, shape (n,), float64
        Length, turn from upright (+ to the right), and curl in lengths.
    palette : ndarray, shape (m, 2, 3), float64
        Colour at the foot and at the tip, 0..255.
    pick : ndarray, shape (n,), int64
        Which palette row each stroke has.
    width_px : float
        Width at the foot.
    """

    roots_px: NDArray[np.float64]
    length_px: NDArray[np.float64]
    lean_rad: NDArray[np.float64]
    bend: NDArray[np.float64]
    palette: NDArray[np.float64]
    pick: NDArray[np.int64]
    width_px: float


def draw_blades(canvas: Picture, blades: Blades, batches: int = 48) -> None:
    """Draw the strokes on the picture, antialiased, in order."""
    t = np.linspace(0.0, 1.0, 7)[None, :]
    length = blades.length_px[:, None]
    x = blades.roots_px[:, :1] + length * (np.sin(blades.lean_rad)[:, None] * t
                                           + blades.bend[:, None] * t ** 2)
    y = blades.roots_px[:, 1:] - length * (np.cos(blades.lean_rad)[:, None] * t
                                           - 0.45 * np.abs(blades.bend)[:, None] * t ** 2)
    lines = np.rint(np.stack([x, y], axis=-1) * (1 << _SHIFT)).astype(np.int32)
    wide = max(1, round(blades.width_px))
    point = 1 if blades.length_px.mean() > 14.0 * wide else wide
    slim = max(1, round(blades.width_px * 0.55))
    for batch in np.array_split(np.arange(len(lines)), batches):
        for row, (foot, tip) in enumerate(blades.palette):
            chosen = lines[batch[blades.pick[batch] == row]]
            if not len(chosen):
                continue
            middle = (foot + tip) / 2
            for part, colour, width in ((chosen[:, :4], foot, wide), (chosen[:, 3:6], middle, wide),
                                        (chosen[:, 4:6], tip, slim),
                                        (chosen[:, 5:], tip, min(point, slim))):
                cv2.polylines(canvas, list(part), False, [float(c) for c in colour], width,
                              cv2.LINE_AA, _SHIFT)


def plant_tile(side_px: int, kind: str, seed: int) -> Picture:
    """A seamless picture of heather, grass, gorse or marram seen from a little above.

    Returns
    -------
    ndarray, shape (side_px, side_px, 3), uint8
    """
    count, short, tall, lean, width = _HABITS[kind]
    rng = np.random.default_rng(seed)
    palette = np.array(_PALETTES[kind], np.float64)
    pad = 64
    canvas: Picture = np.full((side_px + 2 * pad, side_px + 2 * pad, 3),
                              palette[:, 0].mean(axis=0).astype(np.uint8), np.uint8)
    count = count * side_px * side_px // (1024 * 1024)
    clumps = rng.uniform(0, side_px, (max(count // 30, 1), 2))
    host = rng.integers(0, len(clumps), count)
    roots = np.mod(clumps[host] + rng.normal(0, (11.0, 5.0), (count, 2)), side_px)
    fan = np.clip((roots[:, 0] - clumps[host, 0]) / 22.0, -1, 1)
    blades = {
        "length": rng.uniform(short, tall, count), "lean": rng.normal(0, lean, count) + fan * 0.35,
        "bend": rng.normal(0.0, 0.14, count) + fan * 0.1,
        "pick": rng.integers(0, len(palette), len(clumps))[host]}
    stray = rng.random(count) < 0.35
    blades["pick"] = (blades["pick"] + stray * rng.integers(0, len(palette), count)) % len(palette)
    around = (-side_px, 0, side_px)
    everywhere = [roots + np.array([i, j]) for i in around for j in around]
    roots_all = np.concatenate(everywhere) + pad
    inside = np.all((roots_all > -pad) & (roots_all < side_px + 3 * pad), axis=1)
    order = np.argsort(roots_all[:, 1], kind="stable")
    order = order[inside[order]]
    pile = {name: np.tile(value, 9)[order] for name, value in blades.items()}
    draw_blades(canvas, Blades(
        roots_px=roots_all[order], length_px=pile["length"], lean_rad=pile["lean"],
        bend=pile["bend"], palette=palette, pick=pile["pick"], width_px=width), 160)
    return canvas[pad:-pad, pad:-pad].copy()


# strokes per 1024 px square, shortest, tallest, spread of lean, width (all px)
_HABITS = {
    "heather": (52000, 9.0, 26.0, 0.33, 2.4),
    "grass": (26000, 22.0, 58.0, 0.20, 1.4),
    "gorse": (52000, 7.0, 18.0, 0.60, 2.2),
    "marram": (21000, 26.0, 62.0, 0.26, 1.6),
}
_PALETTES = {
    "heather": (((38, 27, 28), (146, 92, 118)), ((44, 32, 28), (122, 74, 98)),
                ((30, 26, 20), (96, 78, 62)), ((46, 30, 36), (186, 128, 150)),
                ((34, 32, 20), (92, 86, 50)), ((40, 26, 32), (160, 98, 132)),
                ((30, 22, 22), (110, 62, 84)), ((44, 34, 26), (136, 104, 78))),
    "grass": (((70, 58, 30), (190, 160, 96)), ((62, 56, 28), (160, 138, 72)),
              ((58, 44, 24), (204, 176, 118)), ((48, 46, 24), (122, 116, 58)),
              ((84, 60, 32), (176, 128, 70)), ((66, 54, 34), (220, 196, 142))),
    "gorse": (((20, 24, 12), (84, 92, 40)), ((22, 28, 14), (66, 78, 34)),
              ((26, 30, 14), (104, 108, 48)),
              ((24, 28, 12), (120, 112, 44)), ((40, 36, 10), (228, 178, 42))),
    "marram": (((92, 80, 48), (206, 180, 112)), ((82, 76, 46), (164, 154, 90)),
               ((98, 82, 52), (228, 198, 132)), ((72, 68, 42), (138, 134, 80)),
               ((116, 96, 62), (236, 208, 150))),
}
KINDS = tuple(_HABITS)
