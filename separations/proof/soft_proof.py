"""The board as it will look: inks on bamboo through the print model, over a wood figure."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from preflight.board.area_mask import coverage_mask
from preflight.raster_grid import RasterGrid
from separations.colour_model.colorimetry import lab_to_xyz, xyz_to_srgb
from separations.colour_model.display import srgb_bytes
from separations.colour_model.parallel_rows import share_rows
from separations.colour_model.print_model import PrintModel, predict_image_xyz
from separations.proof.wood_figure import bamboo_figure

#: Behind the board, a table in even light (Lab); and how far its shadow falls (mm).
_TABLE_LAB = (93.0, 0.0, 2.0)
_SHADOW_MM, _SHADOW_DEPTH = 9.0, 0.28
#: How much more the lighter wood reflects, from which the wood's figure is scaled.
LIGHTER = 1.05
_FULL = 65_535
#: Rows drawn at a time: what they need stays in a processor's cache.
_BAND_ROWS = 64


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ProofModels:
    """The inks on the wood, and twice by estimates alone: on it and on lighter wood.

    The difference of the estimates tells how far the wood shows through: not at all under an
    opaque white.

    Attributes
    ----------
    wood : PrintModel
        With all that was measured.
    estimate, lighter_wood : PrintModel
        Without, on this wood and on one that reflects `LIGHTER` times as much.
    """

    wood: PrintModel
    estimate: PrintModel
    lighter_wood: PrintModel


def board_proof(
    planes: NDArray[np.uint16], grid: RasterGrid, models: ProofModels, board: Polygon,
    figure_seed: int,
) -> NDArray[np.uint8]:
    """Draw the printed board in sRGB, nose to the right.

    Parameters
    ----------
    planes : ndarray of uint16, shape (k, rows, columns)
        Film tones of all inks, line work included, 65535 for 100 %, on ``grid``, zero where
        nothing prints.
    grid : RasterGrid
        Where the pixels lie; the picture has the same.
    models : ProofModels
        Wood and inks, in the planes' order.
    board : Polygon
        The trim outline (board mm): beyond it is the table.
    figure_seed : int
        Which piece of (invented) bamboo it is.

    Returns
    -------
    ndarray of uint8, shape (columns, rows, 3)
        sRGB.
    """
    figure = bamboo_figure(grid, figure_seed)
    inside = coverage_mask(board, grid).astype(np.float32) / _FULL
    reach = _SHADOW_MM / grid.pixel_mm
    shade = cv2.GaussianBlur(np.roll(inside, (0, round(reach / 3)), (0, 1)), (0, 0), reach / 2)
    table = lab_to_xyz(np.array(_TABLE_LAB)).astype(np.float32)
    drawn = np.empty((grid.rows, grid.columns, 3), np.uint8)

    def draw(first: int, stop: int) -> None:
        for top in range(first, stop, _BAND_ROWS):
            band = slice(top, min(top + _BAND_ROWS, stop))
            tones = np.ascontiguousarray(planes[:, band])
            xyz = predict_image_xyz(tones, models.wood)
            through = predict_image_xyz(tones, models.lighter_wood)
            through -= xyz if models.estimate is models.wood else predict_image_xyz(
                tones, models.estimate)
            through *= ((figure[band] - 1) / (LIGHTER - 1))[:, :, None]
            xyz += through
            covered = inside[band, :, None]
            xyz *= covered
            xyz += table * (1 - _SHADOW_DEPTH * shade[band, :, None]) * (1 - covered)
            drawn[band] = srgb_bytes(xyz)

    share_rows(grid.rows, draw, least=_BAND_ROWS)
    return np.ascontiguousarray(np.rot90(drawn, k=-1))


def dot_proof(bits: NDArray[np.bool_], model: PrintModel) -> NDArray[np.uint8]:
    """Draw a crop of the films laid on each other, each film pixel in its overprint's colour.

    Parameters
    ----------
    bits : ndarray of bool, shape (k, rows, columns)
        Film pixels of all inks, in the model's order.
    model : PrintModel
        Wood and inks.

    Returns
    -------
    ndarray of uint8, shape (rows, columns, 3)
        sRGB.
    """
    overprint = np.zeros(bits.shape[1:], np.intp)
    for number, film in enumerate(bits):
        overprint |= film.astype(np.intp) << number
    colours = _eight_bit(lab_to_xyz(model.primaries_lab))
    return np.asarray(colours[overprint])


def shown_srgb(lab: NDArray[np.float64]) -> tuple[int, int, int]:
    """The sRGB colour (0 to 255) that shows a CIELAB colour, shape (3,)."""
    red, green, blue = _eight_bit(lab_to_xyz(lab))
    return int(red), int(green), int(blue)


def solid_srgb(model: PrintModel, ink: int) -> tuple[int, int, int]:
    """The sRGB colour (0 to 255) of one ink's solid on the wood."""
    return shown_srgb(model.primaries_lab[1 << ink])


def _eight_bit(xyz: NDArray[np.floating]) -> NDArray[np.uint8]:
    return np.asarray(np.rint(np.clip(xyz_to_srgb(xyz), 0, 1) * 255), np.uint8)
