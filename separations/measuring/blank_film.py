"""Whether a film has any dot at all."""

from __future__ import annotations

from separations.halftone.film_bands import row_bands
from separations.halftone.film_content import FilmContent, FilmLines
from separations.halftone.screening import prepare, screen_region

#: Film rows looked at together.
_ROWS = 512


def is_blank(content: FilmContent) -> bool:
    """Whether nothing of a film prints, by its own bits; told by the first dot that is met."""
    if not content.tones.any() and not any(
            line.action == "print" and (line.plane.places.any() if isinstance(line, FilmLines)
                                        else not line.area.is_empty) for line in content.lines):
        return True
    screening = prepare(content)
    return not any(screen_region(screening, *rows).any()
                   for rows in row_bands(content.film_grid.rows, _ROWS))
