"""A page's rows as they read on the film, whichever way it reads."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from separations.films.film_label import FilmLabel
from separations.films.film_sheet import FilmSheet
from separations.films.page_bits import PageBits
from separations.halftone.film_bands import dots_in
from separations.halftone.film_content import FilmContent


def page_of(sheet: FilmSheet, content: FilmContent, label: FilmLabel) -> NDArray[np.bool_]:
    page = PageBits(sheet, content, label)
    packed = np.concatenate([page.band(row, min(row + 700, page.rows))
                             for row in range(0, page.rows, 700)])
    return np.unpackbits(packed, axis=1)[:, :page.columns].astype(bool)


@pytest.mark.parametrize("reading", ["right-reading", "mirrored"])
def test_the_image_reads_as_the_sheet_says(
        small_sheet: Callable[..., FilmSheet], small_film: Callable[..., FilmContent],
        label: FilmLabel, reading: str) -> None:
    """The ramp's solid corner lies left on a right-reading film and right on a mirrored one."""
    sheet = small_sheet(dpi=300.0, reading=reading)
    content = small_film(sheet)
    page, box = page_of(sheet, content, label), sheet.art_box
    dots = dots_in(content, 0, content.film_grid.rows, 0, content.film_grid.columns)
    image = page[box.top:box.bottom]
    if reading == "mirrored":
        image = image[:, ::-1]
    np.testing.assert_array_equal(image[:, box.left:box.right], dots)
    corner = page[box.top + 40:box.top + 60]
    left, right = corner[:, :sheet.page_grid.columns // 2], corner[:, sheet.page_grid.columns // 2:]
    assert (left.mean() < right.mean()) == (reading == "right-reading")
