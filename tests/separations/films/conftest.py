"""A small board's sheet, film and label."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from preflight.frames.raster_grid import grid_over
from preflight.press.halftone_spec import HalftoneSpec
from separations.films.film_label import FilmLabel
from separations.films.film_sheet import FilmSheet, Reading, film_sheet
from separations.halftone.film_content import FilmContent

BOUNDS = (-60.0, -35.0, 60.0, 35.0)
TRIM = (-55.0, -30.0, 55.0, 30.0)


@pytest.fixture
def small_sheet() -> Callable[..., FilmSheet]:
    """A sheet of 120 × 70 mm."""
    def build(dpi: float = 720.0, reading: Reading = "right-reading") -> FilmSheet:
        return film_sheet(BOUNDS, TRIM, dpi, reading)
    return build


@pytest.fixture
def small_film() -> Callable[..., FilmContent]:
    """A ramp with a solid and a clear corner on that sheet."""
    def build(sheet: FilmSheet, **spec: Any) -> FilmContent:
        plane = grid_over(BOUNDS, 25.4 / 200)
        tones = np.tile(np.linspace(0, 65535, plane.columns), (plane.rows, 1))
        tones[:80, :80] = 65535
        tones[-80:, -80:] = 0
        return FilmContent(
            tones=tones.astype(np.uint16), tone_grid=plane, film_grid=sheet.art_grid,
            spec=replace(HalftoneSpec(ruling_lpcm=18.0, angle_deg=22.5, dot_shape="elliptical",
                                      film_dpi=sheet.dpi), **spec))
    return build


@pytest.fixture
def label() -> FilmLabel:
    """An invented label."""
    return FilmLabel(job="Ridge, first light", board="Test plank", ink="deep blue",
                     mesh="120-34", ruling="45 lpi", film_number=2, film_count=4,
                     date="2026-03-01")
