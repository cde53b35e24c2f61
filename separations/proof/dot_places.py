"""Where on the board the dots are worth a close look: in light and in deep tones."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.raster_grid import RasterGrid

#: Mean tone sum of the box (all inks added) that shows highlight dots best. Own rule, no source.
_HIGHLIGHT_SUM = 0.15


def light_and_deep_places(
    tones: NDArray[np.uint16], grid: RasterGrid, within: NDArray[np.bool_],
    box_mm: tuple[float, float],
) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """The middles (x, y in board mm) of a box of highlights and of one of shadows.

    Parameters
    ----------
    tones : ndarray of uint16, shape (k, rows, columns)
        Film tones, zero outside the printed area.
    grid : RasterGrid
        Where the pixels lie.
    within : ndarray of bool, shape (rows, columns)
        Where the whole box is to lie.
    box_mm : tuple of float
        Width (across the board) and height (along it) of the box.

    Returns
    -------
    tuple of two tuples of float, or None
        Highlights: the box whose inks add up nearest to a light tint; shadows: the one with the
        most ink. None where nothing prints.
    """
    size = (max(1, round(box_mm[0] / grid.pixel_mm)) | 1,
            max(1, round(box_mm[1] / grid.pixel_mm)) | 1)
    inked = np.zeros(tones.shape[1:], np.float32)
    for plane in tones:
        cv2.accumulate(plane, inked)
    mean = cv2.blur(inked, size) / 65_535
    whole = cv2.erode(within.astype(np.uint8), np.ones(size[::-1], np.uint8),
                      borderType=cv2.BORDER_CONSTANT, borderValue=0) > 0
    if not (whole & (mean > 1e-3)).any():
        return None
    light = np.where(whole & (mean > 1e-3), np.abs(mean - _HIGHLIGHT_SUM), np.inf)
    deep = np.where(whole, mean, -1)
    return _middle(int(np.argmin(light)), grid), _middle(int(np.argmax(deep)), grid)


def _middle(flat: int, grid: RasterGrid) -> tuple[float, float]:
    row, column = divmod(flat, grid.columns)
    return float(grid.row_centres_x_mm()[row]), float(grid.column_centres_y_mm()[column])
