"""Planes drawn in at their edges, so that what lies beneath never shows beside what covers it."""

from __future__ import annotations

from typing import TypeVar

import cv2
import numpy as np
from numpy.typing import NDArray

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
