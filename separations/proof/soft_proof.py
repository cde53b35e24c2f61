"""The board as it will look: inks on bamboo through the print model, over a wood figure."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely import union_all
from shapely.geometry import Polygon

from preflight.board.area_mask import coverage_mask
from preflight.board.fittings import Fittings, disc
from preflight.frames.raster_grid import RasterGrid
from separations.colour.colorimetry import lab_to_xyz
from separations.colour.display import eight_bit_srgb, srgb_coding
from separations.colour.print_model import PrintModel, print_sums
from separations.proof.wood_figure import bamboo_figure
from separations.runtime.parallel_rows import share_rows

if TYPE_CHECKING:
    from separations.proof.proof_kernel import InkSums, Surroundings


#: Behind the board, a table in even light (Lab); and how far its shadow falls (mm).
_TABLE_LAB = (93.0, 0.0, 2.0)
_SHADOW_MM, _SHADOW_DEPTH = 9.0, 0.28
#: How much more the lighter wood reflects, from which the wood's figure is scaled.
LIGHTER = 1.05
_FULL = 65_535
#: Fewest rows worth a thread; rows whose shadow is blurred in one go.
_LEAST_ROWS, _SHADOW_ROWS = 64, 512
#: Where parts of rows begin, so that the same instructions work on them as on whole rows.
_ALIGNED = 64


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


def surroundings(grid: RasterGrid, board: Polygon, figure_seed: int) -> Surroundings:
    """The wood's figure, the board's edge and its shadow on the table: all but the ink.

    Parameters
    ----------
    grid : RasterGrid
        Where the pixels lie.
    board : Polygon
        The trim outline (board mm): beyond it is the table.
    figure_seed : int
        Which piece of (invented) bamboo it is.
    """
    from separations.proof.proof_kernel import Surroundings

    inside = coverage_mask(board, grid).astype(np.float32) / np.float32(_FULL)
    return Surroundings(
        figure=bamboo_figure(grid, figure_seed), covered=inside,
        shade=shadow(inside, _SHADOW_MM / grid.pixel_mm),
        table_xyz=lab_to_xyz(np.array(_TABLE_LAB)).astype(np.float32),
        shadow_depth=np.float32(_SHADOW_DEPTH), lighter=np.float32(LIGHTER - 1))


def board_proof(planes: NDArray[np.uint16], models: ProofModels,
                around: Surroundings) -> NDArray[np.uint8]:
    """Draw the printed board in sRGB, nose to the right.

    Parameters
    ----------
    planes : ndarray of uint16, shape (k, rows, columns)
        Film tones of all inks, line work included, 65535 for 100 %, zero where nothing prints.
    models : ProofModels
        Wood and inks, in the planes' order.
    around : Surroundings
        Wood, edge and table on the same pixels.

    Returns
    -------
    ndarray of uint8, shape (columns, rows, 3)
        sRGB.
    """
    from separations.colour.image_kernels import block_scratch
    from separations.proof.proof_kernel import draw_rows

    inks, coding, whole = _ink_sums(models), srgb_coding(), np.ascontiguousarray(planes)
    rows, columns = planes.shape[1:]
    drawn = np.empty((rows, columns, 3), np.uint8)

    def draw(first: int, stop: int) -> None:
        draw_rows(whole, first, stop, inks, around, coding, block_scratch(len(whole)), drawn)

    share_rows(rows, draw, least=_LEAST_ROWS)
    return np.asarray(cv2.rotate(drawn, cv2.ROTATE_90_CLOCKWISE), np.uint8)


def _ink_sums(models: ProofModels) -> InkSums:
    from separations.colour.image_kernels import single_sums
    from separations.proof.proof_kernel import InkSums

    wood, estimate, lighter = (single_sums(print_sums(model)) for model in
                               (models.wood, models.estimate, models.lighter_wood))
    return InkSums(wood=wood, estimate=estimate, lighter_wood=lighter,
                   estimated=models.estimate is not models.wood,
                   one_curve=all(sums.one_curve and np.array_equal(sums.curves, wood.curves)
                                 for sums in (wood, estimate, lighter)))


def shadow(inside: NDArray[np.float32], reach: float) -> NDArray[np.float32]:
    """The board's soft shadow on the table, 0 to 1, wherever the board does not cover it.

    Parameters
    ----------
    inside : ndarray of float32, shape (rows, columns)
        The board's share of each pixel.
    reach : float
        How far the shadow falls, in pixels.
    """
    cast = np.roll(inside, round(reach / 3), axis=1)
    shade = np.zeros_like(inside)
    beyond = math.ceil(4 * reach / 2) + 1  # further than the blur sees
    for top in range(0, len(inside), _SHADOW_ROWS):
        rows = slice(top, top + _SHADOW_ROWS)
        bare = np.flatnonzero((inside[rows] < 1).any(axis=0))
        above = max(0, top - beyond)
        for run in np.split(bare, np.flatnonzero(np.diff(bare) > 2 * beyond + _ALIGNED) + 1):
            if len(run) == 0:
                continue
            left = max(0, run[0] - beyond) // _ALIGNED * _ALIGNED
            blurred = cv2.GaussianBlur(
                cast[above:top + _SHADOW_ROWS + beyond, left:run[-1] + 1 + beyond], (0, 0),
                reach / 2)
            shade[rows, run[0]:run[-1] + 1] = blurred[
                top - above:top - above + _SHADOW_ROWS, run[0] - left:run[-1] + 1 - left]
    return shade


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
    colours = eight_bit_srgb(lab_to_xyz(model.primaries_lab))
    return np.asarray(colours[overprint])


#: sRGB of a threaded hole seen from above; our own choice.
_HOLE_SRGB = (58, 57, 55)


def with_holes(board: NDArray[np.uint8], grid: RasterGrid, fittings: Fittings
               ) -> NDArray[np.uint8]:
    """The proof with every insert hole drawn in its true place and width.

    Parameters
    ----------
    board : NDArray of uint8, shape (columns, rows, 3)
        The board in sRGB, nose to the right.
    grid : RasterGrid
        Where its pixels lie, seen nose up.
    fittings : Fittings
        With the inserts.
    """
    holes = [disc(hole, pack.hole_mm) for pack in fittings.inserts for hole in pack.holes_mm]
    if not holes:
        return board
    share = np.rot90(coverage_mask(union_all(holes), grid), k=-1)[:, :, None] / np.float32(_FULL)
    drawn = board * (1 - share) + np.array(_HOLE_SRGB, np.float32) * share
    return np.ascontiguousarray(np.rint(drawn).astype(np.uint8))
