"""Whether a film has any dot at all."""

from __future__ import annotations

import math

import numpy as np

from separations.halftone.film_bands import row_bands
from separations.halftone.film_content import FilmContent, FilmLines
from separations.halftone.screening import prepare, screen_region
from separations.measuring.hold.film_windows import Window, content_in

#: Film rows looked at together.
_ROWS = 512
#: Halftone cells along the window that is looked at first.
_CELLS_FIRST = 6


def is_blank(content: FilmContent) -> bool:
    """Whether nothing of a film prints, by its own bits.

    The deepest tone is looked at first: nearly every film has a dot there, and to ready all of it
    costs more. Only where there is none is the whole film screened, until the first dot.
    """
    if not content.tones.any() and not any(
            line.action == "print" and (line.plane.places.any() if isinstance(line, FilmLines)
                                        else not line.area.is_empty) for line in content.lines):
        return True
    if content.spec.is_periodic and content.tones.any() and _has_dot(
            content_in(content, _deepest(content))):
        return False
    return not _has_dot(content)


def _has_dot(content: FilmContent) -> bool:
    screening = prepare(content)
    return any(screen_region(screening, *rows).any()
               for rows in row_bands(content.film_grid.rows, _ROWS))


def _deepest(content: FilmContent) -> Window:
    """A window round the deepest tone."""
    film, grid, scale = content.film_grid, content.tone_grid, content.scale
    row, column = divmod(int(np.argmax(content.tones)), content.tones.shape[1])
    x_mm = (grid.top_x_mm - (row + 0.5) * grid.pixel_mm) * scale.along
    y_mm = (grid.left_y_mm - (column + 0.5) * grid.pixel_mm) * scale.across
    side = math.ceil(_CELLS_FIRST * content.spec.cell_pixels)
    top, left = (max(0, min(round(at) - side // 2, many - side)) for at, many in (
        (film.row_of(x_mm), film.rows), (film.column_of(y_mm), film.columns)))
    return Window(top, min(top + side, film.rows), left, min(left + side, film.columns))
