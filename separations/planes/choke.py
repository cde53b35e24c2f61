"""Planes drawn in at their edges, so that what lies beneath never shows beside what covers it."""

from __future__ import annotations

from typing import TypeVar

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.frames.tiled_plane import TILE, TiledCanvas, TiledPlane

Plane = TypeVar("Plane", np.uint8, np.uint16)


def choked(plane: NDArray[Plane], by_px: float) -> NDArray[Plane]:
    """A plane shrunk by ``by_px`` all round: each pixel takes the least within that reach.

    Parameters
    ----------
    plane : ndarray of uint8 or uint16, shape (rows, columns)
        Tones or coverage; beyond its rim there is nothing.
    by_px : float
        Reach in pixels, rounded to whole ones; 0 leaves the plane as it is.

    Returns
    -------
    ndarray, shape (rows, columns)
        Of the same type; nowhere more than the plane. What is thinner than twice the reach is
        gone.
    """
    reach = round(by_px)
    if reach == 0:
        return plane
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * reach + 1, 2 * reach + 1))
    shrunk = cv2.erode(plane, disc, borderType=cv2.BORDER_CONSTANT, borderValue=(0.0,))
    return np.asarray(shrunk, plane.dtype)


def choked_tiles(plane: TiledPlane, by_px: float) -> TiledPlane:
    """`choked` for a plane that is mostly empty."""
    reach = round(by_px)
    if reach == 0:
        return plane
    canvas = TiledCanvas(*plane.shape)
    for band, held in enumerate(plane.places > 0):
        edges = np.flatnonzero(np.diff(held.astype(np.int8), prepend=0, append=0)) * TILE
        rows = band * TILE, min((band + 1) * TILE, plane.rows)
        for start, end in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
            columns = start, min(end, plane.columns)
            top, left = max(rows[0] - reach, 0), max(columns[0] - reach, 0)
            around = plane.window(top, min(rows[1] + reach, plane.rows),
                                  left, min(columns[1] + reach, plane.columns))
            inner = choked(around, reach)[rows[0] - top:rows[1] - top,
                                          columns[0] - left:columns[1] - left]
            canvas.put(inner, rows[0], columns[0])
    return canvas.plane()
