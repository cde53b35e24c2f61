"""A tone plane between its pixels, for what is decided dot by dot."""

from __future__ import annotations

from numba import njit

from separations.compiled_code import LENT_FLAGS

_compiled = njit(**LENT_FLAGS)


@_compiled
def tone_at(plane, row, column):  # type: ignore[no-untyped-def]
    """The plane between its pixels' centres, bilinear, its edge repeated outwards."""
    row = min(max(row - 0.5, 0.0), plane.shape[0] - 1.0)
    column = min(max(column - 0.5, 0.0), plane.shape[1] - 1.0)
    r, c = int(row), int(column)
    down, right = min(r + 1, plane.shape[0] - 1), min(c + 1, plane.shape[1] - 1)
    part_row, part_column = row - r, column - c
    upper = plane[r, c] * (1.0 - part_column) + plane[r, right] * part_column
    lower = plane[down, c] * (1.0 - part_column) + plane[down, right] * part_column
    return upper * (1.0 - part_row) + lower * part_row
