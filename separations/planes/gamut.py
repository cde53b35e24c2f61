"""Which parts of a photograph these inks on this substrate cannot print, and by how much."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from separations.planes.ink_lattice import InkLattice
from separations.planes.separation import Levels, lattice_places
from separations.runtime.parallel_rows import share_rows

#: dE00 from which a colour counts as out of reach: seen by most people side by side.
#: Common practice, no source.
OUT_OF_REACH = 2.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GamutReport:
    """How far a photograph's colours lie out of reach.

    Attributes
    ----------
    share_out : float
        Share of the pixels (0 to 1) whose colour misses what is wanted by more than
        `OUT_OF_REACH`.
    mean_difference, high_difference, largest_difference : float
        dE00 between wanted and printed over all pixels: mean, 95 % of them, all of them.
    difference : ndarray, shape (rows, cols), float32
        dE00 of every pixel.
    """

    share_out: float
    mean_difference: float
    high_difference: float
    largest_difference: float
    difference: NDArray[np.float32]


def gamut_report(rgb: NDArray[np.uint8] | NDArray[np.uint16], lattice: InkLattice, *,
                 cover: NDArray[np.bool_] | None = None,
                 levels: Levels | None = None) -> GamutReport:
    """How far a photograph's colours lie out of reach.

    Parameters
    ----------
    rgb : ndarray, shape (rows, cols, 3), uint8 or uint16
        The photograph, in the encoding that the lattice was built for.
    lattice : InkLattice
        Film tones over that encoding, with what each node misses.
    cover : ndarray, shape (rows, cols), bool, optional
        Where the photograph counts; everywhere if not given.
    levels : ndarray, shape (levels,), float64, optional
        As for `separations.planes.separation.lattice_places`.

    Returns
    -------
    GamutReport
        Against the colour aimed at: what looks like the photograph's, within reach or not. All
        figures are 0 where nothing counts.

    Notes
    -----
    What a pixel misses is interpolated from the lattice's nodes.
    """
    out = colours_missed(rgb, lattice, levels=levels)
    counted = out.ravel() if cover is None else out[cover]
    if counted.size == 0:
        counted = np.zeros(1, np.float32)
    return GamutReport(
        share_out=float(np.mean(counted > OUT_OF_REACH)),
        mean_difference=float(np.mean(counted, dtype=np.float64)),
        high_difference=float(np.percentile(counted, 95.0)),
        largest_difference=float(counted.max()),
        difference=out,
    )


def colours_missed(rgb: NDArray[np.uint8] | NDArray[np.uint16], lattice: InkLattice, *,
                   levels: Levels | None = None) -> NDArray[np.float32]:
    """`GamutReport.difference` alone: dE00 of every pixel, shape (rows, cols)."""
    from separations.colour.tetrahedral import interpolate_scalar

    places = lattice_places(rgb, levels)
    nodes = np.ascontiguousarray(lattice.node_difference.ravel())
    source = np.ascontiguousarray(rgb)
    out = np.empty(rgb.shape[:2], np.float32)

    def work(first: int, stop: int) -> None:
        interpolate_scalar(source[first:stop], places, nodes, out[first:stop])

    share_rows(len(source), work, least=64)
    return out
