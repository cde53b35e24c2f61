"""One letter as it stands on a film: the bits round it, and its sizes there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely import Polygon, get_coordinates, get_parts

from preflight.board.area_mask import Area
from preflight.frames.film_scale import FilmScale
from preflight.frames.raster_grid import RasterGrid
from preflight.vector_art.lettering import SetLetter
from separations.halftone.film_content import FilmArea, FilmContent, grid_of_four
from separations.measuring.hold.film_windows import Window, line_bits
from separations.measuring.hold.letter_widths import (
    Bits,
    gap_px,
    hole_width,
    parts_of,
    stroke_width_px,
)

#: What is seen round a letter (mm).
BESIDE_MM = 0.4
#: A letter of which less than this share of its box and surroundings is ground stands on its own
#: ink, and is none. Own rule, no source; letters grown by a trap keep more.
_LEAST_GROUND = 0.1
_SOLID = 65_535
_HALF = 0.5
#: Parts of a pixel to which outlines are told to the filler: 2⁴.
_SHIFT = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeOnFilm:
    """One width, in film pixels, and where: row and column of the window."""

    width_px: float
    row: float
    column: float
    letters: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LetterOnFilm:
    """One letter's sizes on a film.

    Attributes
    ----------
    height_px : float
        From its foot to its head (film pixels).
    strokes, counters, gaps : tuple of SizeOnFilm
        Its thinnest stroke, each closed hole, and the gap to the next letter and between its own
        parts, as far as there are any.
    """

    height_px: float
    strokes: tuple[SizeOnFilm, ...]
    counters: tuple[SizeOnFilm, ...]
    gaps: tuple[SizeOnFilm, ...]


def outlines_only(content: FilmContent, *, ground: bool = False) -> FilmContent:
    """A film without its photograph: its drawings' outlines, on clear or on solid ground.

    Tints are laid solid, so that their outlines can be measured.
    """
    tones = np.full((2, 2), _SOLID if ground else 0, np.uint16)
    lines = tuple(replace(line, tone=1.0) if isinstance(line, FilmArea) else line
                  for line in content.lines)
    return replace(content, tones=tones, tone_grid=grid_of_four(content.film_grid), lines=lines,
                   spec=replace(content.spec, dot_shape="round"), whole_edge_dots=False)


def window_round(letters: Sequence[SetLetter], film: RasterGrid, scale: FilmScale) -> Window | None:
    """The window of a film that shows these letters and what is beside them, if it can."""
    corners = np.array([scale.grown_bounds(letter.area.bounds) for letter in letters])
    top = int(film.row_of(corners[:, 2].max() + BESIDE_MM))
    left = int(film.column_of(corners[:, 3].max() + BESIDE_MM))
    bottom = int(film.row_of(corners[:, 0].min() - BESIDE_MM)) + 1
    right = int(film.column_of(corners[:, 1].min() - BESIDE_MM)) + 1
    window = Window(max(top, 0), min(bottom, film.rows), max(left, 0), min(right, film.columns))
    inside = window.end_row - window.first_row > 2 and window.end_column - window.first_column > 2
    return window if inside else None


def bits_in(content: FilmContent, window: Window) -> Bits:
    """The dots of a film of outlines in a window."""
    return line_bits(content, window, solid=bool(content.tones.any()))


def filled(area: Area, film: RasterGrid, scale: FilmScale, window: Window) -> Bits:
    """Pixels of a window that lie in a board area."""
    picture = np.zeros((window.end_row - window.first_row,
                        window.end_column - window.first_column), np.uint8)
    for part in get_parts(scale.grown(area)):
        rings = []
        for ring in (part.exterior, *part.interiors):
            x, y = get_coordinates(ring).T
            rows = (film.top_x_mm - x) / film.pixel_mm - window.first_row - _HALF
            columns = (film.left_y_mm - y) / film.pixel_mm - window.first_column - _HALF
            rings.append(np.rint(np.column_stack([columns, rows]) * 2**_SHIFT).astype(np.int32))
        cv2.fillPoly(picture, rings, 1, cv2.LINE_8, _SHIFT)
    return picture.astype(np.bool_)


def stands(bits: Bits, letter: Bits, beside_px: int) -> bool:
    """Whether a letter stands out of its ground: mostly set inside, and clear enough beside it."""
    if not letter.any() or bits[letter].mean() < _HALF:
        return False
    rows, columns = np.nonzero(letter)
    round_it = bits[max(rows.min() - beside_px, 0):rows.max() + beside_px + 1,
                    max(columns.min() - beside_px, 0):columns.max() + beside_px + 1]
    return bool(round_it.mean() <= 1 - _LEAST_GROUND)


def measure_letter(
    bits: Bits, letter: SetLetter, following: SetLetter | None, film: RasterGrid,
    scale: FilmScale, window: Window,
) -> LetterOnFilm | None:
    """Measure a letter on a window's bits; None where it does not stand out there.

    Parameters
    ----------
    bits : NDArray of bool, shape (rows, columns)
        True where the letters are: ink, or what is clear of it.
    letter, following : SetLetter
        The letter, and the next one in its line.
    film, scale, window : RasterGrid, FilmScale, Window
        Where the bits lie.
    """
    shape = filled(letter.area, film, scale, window)
    beside_px = round(BESIDE_MM / film.pixel_mm)
    if not stands(bits, shape, beside_px):
        return None
    labels, own = parts_of(bits, shape)
    ink = _among(labels, own)
    near = cv2.dilate(shape.astype(np.uint8), np.ones((7, 7), np.uint8)).astype(np.bool_)
    stroke = stroke_width_px(bits, near & ink)
    gaps = _gaps_within(labels, own, letter.text)
    if following is not None and letter.area.distance(following.area) > 0:
        other = filled(following.area, film, scale, window)
        if stands(bits, other, beside_px):
            gaps += (_gap_to(bits, labels, own, other, letter.text + following.text),)
    return LetterOnFilm(
        height_px=_height_px(ink & near, letter.up),
        strokes=() if stroke is None else (_size(stroke, letter.text),),
        counters=tuple(_size(hole, letter.text) for hole in (
            hole_width(ink, filled(Polygon(ring), film, scale, window))
            for part in get_parts(letter.area) for ring in part.interiors) if hole is not None),
        gaps=gaps)


def nothing_left(letter: SetLetter, film: RasterGrid, scale: FilmScale,
                 window: Window) -> LetterOnFilm:
    """A letter of which the film keeps less than half: as tall as drawn, its strokes closed."""
    shape = filled(letter.area, film, scale, window)
    if not shape.any():
        return LetterOnFilm(height_px=0.0, strokes=(), counters=(), gaps=())
    rows, columns = np.nonzero(shape)
    return LetterOnFilm(
        height_px=_height_px(shape, letter.up), counters=(), gaps=(),
        strokes=(SizeOnFilm(width_px=0.0, row=float(rows.mean()), column=float(columns.mean()),
                            letters=letter.text),))


def _gaps_within(labels: NDArray[np.int32], own: frozenset[int],
                 text: str) -> tuple[SizeOnFilm, ...]:
    """Between a letter's own parts: an i and its dot."""
    if len(own) < 2:
        return ()
    return tuple(_size(gap_px(labels == number, _among(labels, own - {number})), text)
                 for number in sorted(own))[:1]


def _gap_to(bits: Bits, labels: NDArray[np.int32], own: frozenset[int], shape: Bits,
            between: str) -> SizeOnFilm:
    _, others = parts_of(bits, shape)
    if own & others:  # apart as drawn, one on the film
        rows, columns = np.nonzero(shape)
        return SizeOnFilm(width_px=0.0, row=float(rows.mean()), column=float(columns.mean()),
                          letters=between)
    return _size(gap_px(_among(labels, own), _among(labels, others)), between)


def _among(labels: NDArray[np.int32], numbers: frozenset[int]) -> Bits:
    """Where the labels are among some."""
    chosen = np.zeros(int(labels.max()) + 1, np.bool_)
    chosen[list(numbers)] = True
    return chosen[labels]


def _size(found: tuple[float, float, float], letters: str) -> SizeOnFilm:
    return SizeOnFilm(width_px=found[0], row=found[1], column=found[2], letters=letters)


def _height_px(ink: Bits, up: tuple[float, float]) -> float:
    """Extent along the upward direction; x runs against rows, y against columns."""
    rows, columns = np.nonzero(ink)
    along = rows * up[0] + columns * up[1]
    return float(along.max() - along.min()) + 1.0
