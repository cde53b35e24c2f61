"""An ink's tones with its line work in the same pixels, for those who take one picture an ink."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from preflight.board.area_mask import coverage_mask
from separations.films.tone_pages import ToneSet
from separations.halftone.film_content import AreaWork

_FULL = 65_535


def flat_rows(job: ToneSet, number: int) -> Callable[[int, int], NDArray[np.uint8]]:
    """Rows of one ink's tones from one to another (exclusive), uint8, 255 = solid.

    Line work is averaged over the tones' larger pixels, and so is the edge of the printed area:
    both are softer here than on the film.
    """
    grid = job.grid
    tones = job.tones[number]
    lines = [(line if isinstance(line, AreaWork) else
              line.plane.averaged(grid.rows, grid.columns), line.action)
             for ink, line in job.lines if ink == number]

    def rows(first: int, end: int) -> NDArray[np.uint8]:
        flat = np.zeros((end - first, grid.columns), np.float32)
        if tones is not None:
            flat += tones[first:end] / np.float32(_FULL)
        for drawn, action in lines:
            if isinstance(drawn, AreaWork):
                cover = np.asarray(coverage_mask(drawn.area, grid.band(first, end))
                                   / np.float32(_FULL), np.float32)
                inked = cover * np.float32(drawn.tone)
            else:
                inked = cover = drawn[first:end] / np.float32(255)
            flat = np.asarray(np.maximum(flat, inked) if action == "print"
                              else flat * (1 - cover), np.float32)
        inside = coverage_mask(job.printed, grid.band(first, end)) / np.float32(_FULL)
        return np.asarray(np.rint(flat * inside * 255), np.uint8)

    return rows
