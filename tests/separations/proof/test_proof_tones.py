"""Drawings on the proof's coarse planes."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
from shapely import box

from preflight.frames.raster_grid import grid_over
from separations.planes.overlays import VectorWork
from separations.proof.proof_tones import tones_with_lines


def test_what_a_trap_adds_is_drawn_on_all_sides() -> None:
    """A square of 20 mm that its trap makes 24 mm wide, on pixels of half a millimetre."""
    grid = grid_over((-30.0, -30.0, 30.0, 30.0), 0.5)
    job: Any = SimpleNamespace(ink=[SimpleNamespace(name="Black", prints="line work")])
    drawn: Any = SimpleNamespace(ink="Black", tint=1.0)
    work = VectorWork(drawn=drawn, visible=box(-10, -10, 10, 10), printed=box(-12, -12, 12, 12),
                      cleared=())
    planes = np.zeros((1, grid.rows, grid.columns), np.uint16)
    tones = tones_with_lines(job, planes, (), (work,), box(-30, -30, 30, 30), grid)
    for line in (tones[0].any(axis=0), tones[0].any(axis=1)):
        inked = np.flatnonzero(line)
        assert (inked[0], inked[-1]) == (36, 83)
