"""Scattered dots of one size: a stochastic screen whose every dot, gap and neck the mesh holds.

Dots lie at the places of a hexagonal lattice in board millimetres; each place prints when the
tone there passes its own threshold of a blue-noise tile. A film pixel is inked when, of the three
places round it, printing ones weigh more than half by their nearness. On a hexagonal lattice
that leaves no choice at the meeting of two dots and two gaps, as squares would: everything
drawn, dots, gaps and the necks between them, is at least a lattice row wide, and the rows are as
far apart as the job's smallest dot.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from separations.halftone.blue_noise import dot_thresholds, tile_shift
from separations.halftone.film_content import (
    FilmContent,
    Spans,
    dot_cutting_spans,
    middle_spans,
)

#: Lattice positions are counted in this many bits below the point.
PLACE_BITS = 14
#: Places along a row, in lattice rows' distances.
SPACING = 2 / math.sqrt(3)


class Scatter(NamedTuple):
    """A film's tones ready to be drawn as scattered dots; compiled loops take it as it is.

    Attributes
    ----------
    plane : NDArray of uint16, shape (plane rows, plane columns)
        The tones.
    thresholds : NDArray of float32, shape (256, 256)
        Tone from which each place prints; the tile's rows are lattice rows.
    lattice_rows : NDArray of int32, shape (film rows,)
        The lattice row at or below each film row (counted with falling x).
    row_parts : NDArray of float64, shape (film rows,)
        How far it lies from there to the next, 0 to 1.
    column_places : NDArray of int32, shape (film columns,)
        Places along lattice rows in 2⁻¹⁴, from `first_place`.
    first_place : int
        The place at which the columns begin.
    row_to_plane, place_to_plane : tuple of float
        Plane row of lattice row 0 and what each adds; likewise columns and places.
    place_to_film : tuple of float
        The same on the film: row, a row's share, column, a place's share.
    inside, cuts : Spans
        Where dots' middles must lie, and what cuts dots.
    """

    plane: NDArray[np.uint16]
    thresholds: NDArray[np.float32]
    lattice_rows: NDArray[np.int32]
    row_parts: NDArray[np.float64]
    column_places: NDArray[np.int32]
    first_place: int
    row_to_plane: tuple[float, float]
    place_to_plane: tuple[float, float]
    place_to_film: tuple[float, float, float, float]
    inside: Spans
    cuts: Spans


def scatter(content: FilmContent) -> Scatter:
    """Lay the lattice over a film: the same places on the board whatever the film's size.

    Raises
    ------
    ValueError
        When the dots are less than two film pixels wide.
    """
    spec, grid, tones = content.spec, content.film_grid, content.tone_grid
    row_mm = spec.stochastic_dot_um / 1000
    if row_mm < 2 * grid.pixel_mm:
        raise ValueError("stochastic dots are less than two film pixels wide")
    place_mm = row_mm * SPACING
    rows = -grid.row_centres_x_mm() / row_mm
    places = -grid.column_centres_y_mm() / place_mm
    first_place = math.floor(places.min()) - 2
    lattice_rows = np.floor(rows)
    thresholds = dot_thresholds()
    return Scatter(
        plane=np.ascontiguousarray(content.tones),
        thresholds=np.roll(thresholds, tile_shift(spec.pattern, len(thresholds)), axis=(0, 1)),
        lattice_rows=lattice_rows.astype(np.int32), row_parts=rows - lattice_rows,
        column_places=np.rint((places - first_place) * 2.0**PLACE_BITS).astype(np.int32),
        first_place=first_place,
        row_to_plane=(tones.row_of(0.0), row_mm / tones.pixel_mm / content.scale.along),
        place_to_plane=(tones.column_of(0.0),
                        place_mm / tones.pixel_mm / content.scale.across),
        place_to_film=(grid.row_of(0.0), row_mm / grid.pixel_mm,
                       grid.column_of(0.0), place_mm / grid.pixel_mm),
        inside=middle_spans(content), cuts=dot_cutting_spans(content))
