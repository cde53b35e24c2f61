"""Where on the board the dots are worth a close look: where inks differ, light or deep."""

from __future__ import annotations

from typing import NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.frames.raster_grid import RasterGrid

#: Mean tone sum of the box (all inks added) that shows highlight dots best. Own rule, no source.
_HIGHLIGHT_SUM = 0.15

Place = tuple[float, float]


class DotPlaces(NamedTuple):
    """The middles (x, y in board mm) of boxes on the board.

    Attributes
    ----------
    busiest : tuple of float
        The box in which the inks' tones differ most; the grid's first pixel where none do.
    light_and_deep : tuple of two tuples of float, or empty
        Highlights: the box whose inks add up nearest to a light tint; shadows: the one with the
        most ink. Empty where nothing prints.
    """

    busiest: Place
    light_and_deep: tuple[Place, ...]


def dot_places(
    tones: NDArray[np.uint16], grid: RasterGrid, within: NDArray[np.bool_],
    box_mm: tuple[float, float],
) -> DotPlaces:
    """Look for the places in one go.

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
    """
    from separations.proof.place_kernel import BestBoxes, box_sums, find_boxes

    wide, tall = (max(1, round(side / grid.pixel_mm)) | 1 for side in box_mm)
    whole = cv2.erode(within.astype(np.uint8), np.ones((tall, wide), np.uint8),
                      borderType=cv2.BORDER_CONSTANT, borderValue=0)
    best = BestBoxes(value=np.array([0.0, np.inf, -1.0]), place=np.array([0, -1, -1]))
    find_boxes(np.ascontiguousarray(tones), np.asarray(whole, np.uint8), tall, wide,
               np.float32(_HIGHLIGHT_SUM), box_sums(len(tones), grid.columns), best)
    busiest, light, deep = (_middle(int(at), grid) for at in best.place)
    return DotPlaces(busiest, (light, deep) if best.place[1] >= 0 else ())


def _middle(flat: int, grid: RasterGrid) -> Place:
    row, column = divmod(flat, grid.columns)
    return float(grid.row_centres_x_mm()[row]), float(grid.column_centres_y_mm()[column])
