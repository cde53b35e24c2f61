"""Line work on the board: drawn lines and letters, never screened, with their traps."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preflight.art.art_plane import line_plane
from preflight.board.area_mask import coverage_mask
from preflight.job_file.job_tables import ArtTable
from preflight.raster_grid import RasterGrid, grid_over
from preflight.submission import LineFacts
from preflight.tone_facts import densest_place
from preflight.units import MM_PER_INCH
from separations.planes.choke import choked
from separations.planes.laid_out_job import LaidOutJob

#: Line work is sampled no finer than this (ppi); its edges are antialiased beyond.
_FINEST_LINE_PPI = 600.0
_FULL = 65_535


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LineWork:
    """One sheet of line work over the board.

    Attributes
    ----------
    table : ArtTable
        What the job says of it.
    cover : ndarray of uint8, shape (rows, columns)
        Its coverage, 255 for ink.
    trapped : ndarray of uint8, shape (rows, columns)
        The same, choked by the trap: what is knocked out of the other inks.
    grid : RasterGrid
        Where its pixels lie.
    """

    table: ArtTable
    cover: NDArray[np.uint8]
    trapped: NDArray[np.uint8]
    grid: RasterGrid


def measure_lines(laid: LaidOutJob, sheets: tuple[LineWork, ...]) -> tuple[LineFacts, ...]:
    """What of the line work lies outside the safe area, for the checks."""
    facts = []
    for sheet in sheets:
        outside = coverage_mask(laid.area.printed, sheet.grid) > _FULL // 2
        outside &= coverage_mask(laid.area.safe, sheet.grid) < _FULL // 2
        outside &= sheet.cover > 127
        facts.append(LineFacts(
            file=sheet.table.file,
            mm2_beyond_safe=int(np.count_nonzero(outside)) * sheet.grid.pixel_mm**2,
            place_beyond_safe=densest_place(outside, sheet.grid)))
    return tuple(facts)


def line_work(laid: LaidOutJob, *, finest_ppi: float = _FINEST_LINE_PPI) -> tuple[LineWork, ...]:
    """The job's line work on the board, in its order, with its traps."""
    trap_mm = laid.job.separation.trap.mm
    sheets = []
    for art in laid.art:
        if art.table.kind != "line":
            continue
        ppi = min(art.placed.ppi, finest_ppi)
        grid = grid_over(laid.area.image_bounds, MM_PER_INCH / ppi)
        cover = line_plane(art.artwork, art.placed, grid)
        sheets.append(LineWork(table=art.table, cover=cover,
                               trapped=choked(cover, trap_mm / grid.pixel_mm), grid=grid))
    return tuple(sheets)
