"""Sharpening, undone.

It puts a light rim round every dot. Levels are no light, so that the rims do not cancel: tints
would read lighter than they print, by 5 points where it is strong.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

Plane = NDArray[np.float32]

#: Radius (pixels) that sharpening is taken to have. Own rule.
_RADIUS_PX = 1.2
_ROUNDS = 8


def unsharpened(coded: Plane, amount: float) -> Plane:
    """Levels as they were before sharpening.

    Parameters
    ----------
    coded : ndarray, shape (rows, columns, 3), float32
        Levels, 0 to 1.
    amount : float
        Share of their differences from a blurred copy that was added to them.

    Notes
    -----
    Solves y = x + amount (x - blur(x)) by turns; each brings the remainder to amount / (1 +
    amount) of itself or less, since a blur makes nothing larger.
    """
    before = coded
    for _ in range(_ROUNDS if amount > 0 else 0):
        before = (coded + amount * cv2.GaussianBlur(before, (0, 0), _RADIUS_PX)) / (1.0 + amount)
    return before
