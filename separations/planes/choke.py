"""Planes drawn in at their edges, so that what lies beneath never shows beside what covers it."""

from __future__ import annotations

import math
from typing import TypeVar

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.frames.tiled_plane import TILE, TiledCanvas, TiledPlane

Plane = TypeVar("Plane", np.uint8, np.uint16)

#: Pixels no coarser than this (ppi) show a choked edge to a film pixel of 1440 dpi: a tenth of
#: one of theirs.
COARSEST_EDGE_PPI = 150.0
#: An edge that runs between two of the directions looked in is drawn in by this much less (px).
_LEAST_SHORT_PX = 0.05


def choked(plane: NDArray[Plane], by_px: float) -> NDArray[Plane]:
    """A plane shrunk by ``by_px`` all round: each pixel takes the least within that reach.

    Parameters
    ----------
    plane : ndarray of uint8 or uint16, shape (rows, columns)
        Tones or coverage. Its rim is no edge: what lies there is taken to go on.
    by_px : float
        Reach in pixels, any fraction; 0 leaves the plane as it is.

    Returns
    -------
    ndarray, shape (rows, columns)
        Of the same type; nowhere more than the plane. What is thinner than twice the reach is
        gone.

    Notes
    -----
    The least of all pixels within reach and of the plane, interpolated linearly, on the circle
    round them. Where the edge then crosses one half is right to a tenth of a pixel.
    """
    if by_px <= 0:
        return plane
    reach = math.ceil(by_px)
    shrunk = plane
    if math.floor(by_px) > 0:
        shrunk = np.asarray(cv2.erode(plane, _disc(by_px), borderType=cv2.BORDER_REPLICATE),
                            plane.dtype)
    around = cv2.copyMakeBorder(plane, *(reach + 1,) * 4, borderType=cv2.BORDER_REPLICATE)
    rows, columns = plane.shape
    many = _directions(by_px)
    for number in range(many):
        angle = 2 * math.pi * number / many
        down, along = (round(by_px * way, 9) for way in (math.sin(angle), math.cos(angle)))
        top, left = math.floor(down) + reach + 1, math.floor(along) + reach + 1
        part = around[top:top + rows + 1, left:left + columns + 1]
        moved = cv2.sepFilter2D(part, -1, _between(along), _between(down), anchor=(0, 0))
        shrunk = np.minimum(shrunk, moved[:rows, :columns])
    return np.asarray(shrunk, plane.dtype)


def _disc(radius: float) -> NDArray[np.uint8]:
    """Which pixels lie within a radius of the middle one."""
    steps = np.arange(-math.floor(radius), math.floor(radius) + 1)
    return (np.hypot(steps[:, None], steps) <= radius).astype(np.uint8)


def _directions(radius: float) -> int:
    """How many directions are looked in, a multiple of four."""
    apart = 2 * math.acos(max(0.0, 1 - _LEAST_SHORT_PX / radius))
    return max(8, 4 * math.ceil(2 * math.pi / apart / 4))


def _between(position: float) -> NDArray[np.float64]:
    """Weights of a pixel and its next for a place between them."""
    part = position - math.floor(position)
    return np.array([1 - part, part])


def choked_tiles(plane: TiledPlane, by_px: float) -> TiledPlane:
    """`choked` for a plane that is mostly empty."""
    if by_px <= 0:
        return plane
    reach = math.ceil(by_px) + 1
    canvas = TiledCanvas(*plane.shape)
    for band, held in enumerate(plane.places > 0):
        edges = np.flatnonzero(np.diff(held.astype(np.int8), prepend=0, append=0)) * TILE
        rows = band * TILE, min((band + 1) * TILE, plane.rows)
        for start, end in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
            columns = start, min(end, plane.columns)
            top, left = max(rows[0] - reach, 0), max(columns[0] - reach, 0)
            around = plane.window(top, min(rows[1] + reach, plane.rows),
                                  left, min(columns[1] + reach, plane.columns))
            inner = choked(around, by_px)[rows[0] - top:rows[1] - top,
                                          columns[0] - left:columns[1] - left]
            canvas.put(inner, rows[0], columns[0])
    return canvas.plane()
