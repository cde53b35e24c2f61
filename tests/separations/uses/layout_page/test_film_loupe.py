"""Which part of the films the loupe looks at."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.frames.film_scale import FilmScale
from separations.films.film_sheet import film_sheet
from separations.measuring.hold.film_windows import Window
from separations.uses.layout_page.film_loupe import Loupe

SHEET = film_sheet((-40.0, -20.0, 40.0, 20.0), (-35.0, -15.0, 35.0, 15.0), 254.0)


class _Film:
    def bits(self, window: Window) -> NDArray[np.bool_]:
        assert 0 <= window.first_row < window.end_row <= SHEET.art_grid.rows
        assert 0 <= window.first_column < window.end_column <= SHEET.art_grid.columns
        return np.zeros((window.end_row - window.first_row,
                         window.end_column - window.first_column), np.bool_)


@pytest.mark.parametrize(("x_mm", "y_mm", "row", "column"), [
    (0.0, 0.0, 380, 170), (500.0, 0.0, 0, 170), (-39.0, 0.0, 760, 170), (0.0, 500.0, 380, 0),
    (0.0, -19.0, 380, 340), (-500.0, -500.0, 760, 340)])
def test_it_stays_on_the_film(x_mm: float, y_mm: float, row: int, column: int) -> None:
    """Ten pixels a millimetre: the film is 800 × 400, the window 40 × 60."""
    films: Any = (_Film(),)
    job: Any = SimpleNamespace(film=SimpleNamespace(scale=FilmScale()))
    model: Any = None
    view = Loupe(job=job, films=films, sheet=SHEET, model=model).bits((x_mm, y_mm), 40, 60)
    assert (view.first_row, view.first_column) == (row, column)
