"""The marks of the press strip, each drawn on a field of its own: patches, targets and verniers.

A field is told in millimetres from its upper left corner and drawn on whole film pixels.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import Literal

from separations.films.film_sheet import Box, FilmSheet
from separations.films.marks import SMALL_TEXT_PT, Shape, Words

#: Side of the solid and of the clear patch (mm): room for a densitometer's foot. Own choice.
PATCH_MM = 20.0
CAPTION_MM = 3.0
#: Film pixels of the resolution target's lines, gaps and holes.
RESOLVED_PIXELS = (1, 2, 3)
_RESOLVED_MM = 4.0
#: Holes along a side of each block of holes.
HOLES = 8
#: Fields of the exposure scale, uncovered one after another, and their lines and gaps (µm).
EXPOSURE_FIELDS = 5
EXPOSURE_LINES_UM = (50, 75, 100, 150, 200)
#: Ticks of a vernier to either side of its middle, and what the two scales' steps are (mm).
VERNIER_TICKS = 10
MAIN_STEP_MM, VERNIER_STEP_MM = 1.0, 0.95
_TICK_MM = 0.1
#: Side of an overprint patch (mm), and up to how many inks all pairs are shown.
OVERPRINT_MM = 8.0
_ALL_PAIRS = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmOfJob:
    """Which of a job's films a mark is drawn for.

    Attributes
    ----------
    order, count : int
        Its place in print order from 1, and how many films there are.
    """

    order: int
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """The upper left corner of a field on a sheet, in page pixels."""

    sheet: FilmSheet
    left: int
    top: int

    def _px(self, length_mm: float) -> int:
        return round(length_mm / self.sheet.page_grid.pixel_mm)

    def box(self, x_mm: float, y_mm: float, wide_mm: float, high_mm: float) -> Box:
        """A bar of the field, at least a pixel wide and high; as many pixels wherever it lies."""
        left, top = self.left + self._px(x_mm), self.top + self._px(y_mm)
        return Box(left, top, left + max(1, self._px(wide_mm)), top + max(1, self._px(high_mm)))

    def tick(self, x_mm: float, y_mm: float, long_mm: float, *, level: bool) -> Box:
        """A fine line about a place: upright and down from it, or level and to the right."""
        half = max(1, round(_TICK_MM / self.sheet.page_grid.pixel_mm / 2))
        column, row = self.left + self._px(x_mm), self.top + self._px(y_mm)
        if level:
            return Box(column, row - half, self.left + self._px(x_mm + long_mm), row + half)
        return Box(column - half, row, column + half, self.top + self._px(y_mm + long_mm))

    def words(self, x_mm: float, y_mm: float, text: str,
              align: Literal["left", "centre", "right"] = "left") -> Words:
        """Words with their baseline at a place."""
        return Words(column=self.left + self._px(x_mm), row=self.top + self._px(y_mm),
                     size_pt=SMALL_TEXT_PT, text=text, align=align)


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkField:
    """A mark's size (mm) and what draws it for one of the films."""

    wide_mm: float
    high_mm: float
    draw: Callable[[Corner, FilmOfJob], list[Shape]]


def turn_field() -> MarkField:
    """A thick F at the nose's left corner alone: turned or flipped it is no F, or elsewhere."""
    def draw(at: Corner, _: FilmOfJob) -> list[Shape]:
        return [at.box(0, 0, 3, 14), at.box(3, 0, 7, 3), at.box(3, 5.5, 4.5, 3),
                at.words(0, 17, "nose, left")]
    return MarkField(wide_mm=14.0, high_mm=14.0 + CAPTION_MM, draw=draw)


def density_field() -> MarkField:
    """A solid and a clear patch, for a densitometer on the film."""
    def draw(at: Corner, _: FilmOfJob) -> list[Shape]:
        clear, low = PATCH_MM + 3.0, PATCH_MM + 2.5
        return [at.box(0, 0, PATCH_MM, PATCH_MM), at.words(0, low, "solid, film density"),
                at.box(clear, 0, PATCH_MM, 0.2), at.box(clear, PATCH_MM - 0.2, PATCH_MM, 0.2),
                at.box(clear, 0, 0.2, PATCH_MM), at.box(clear + PATCH_MM - 0.2, 0, 0.2, PATCH_MM),
                at.words(clear, low, "clear")]
    return MarkField(wide_mm=2 * PATCH_MM + 3.0, high_mm=PATCH_MM + CAPTION_MM, draw=draw)


def resolution_field() -> MarkField:
    """Lines and gaps of 1, 2 and 3 film pixels, both ways, and holes as wide in a solid."""
    def draw(at: Corner, _: FilmOfJob) -> list[Shape]:
        shapes: list[Shape] = []
        for number, pixels in enumerate(RESOLVED_PIXELS):
            x = number * (_RESOLVED_MM + 1.5)
            shapes += _bars(at.box(x, 0, _RESOLVED_MM, _RESOLVED_MM), pixels, upright=True)
            shapes += _bars(at.box(x, _RESOLVED_MM + 0.5, _RESOLVED_MM, _RESOLVED_MM), pixels,
                            upright=False)
            shapes += holes(at.box(x, 2 * _RESOLVED_MM + 1.0, _RESOLVED_MM, _RESOLVED_MM), pixels)
            shapes.append(at.words(x, 3 * _RESOLVED_MM + 3.5, f"{pixels} px"))
        return shapes
    return MarkField(wide_mm=3 * (_RESOLVED_MM + 1.5), high_mm=3 * _RESOLVED_MM + 1 + CAPTION_MM,
                     draw=draw)


def _bars(within: Box, pixels: int, *, upright: bool) -> list[Shape]:
    if upright:
        return [within._replace(left=at, right=at + pixels) for at in
                range(within.left, within.right - pixels + 1, 2 * pixels)]
    return [within._replace(top=at, bottom=at + pixels) for at in
            range(within.top, within.bottom - pixels + 1, 2 * pixels)]


def holes(within: Box, pixels: int) -> list[Shape]:
    """A solid with square holes about its middle, three holes' widths apart.

    They are `HOLES` × `HOLES`, or as many as the solid holds where film pixels are large.
    """
    pitch = 4 * pixels
    side = min(within.right - within.left, within.bottom - within.top)
    count = max(1, min(HOLES, (side - 3 * pixels) // pitch + 1))
    first_row = (within.top + within.bottom - (count - 1) * pitch - pixels) // 2
    first_column = (within.left + within.right - (count - 1) * pitch - pixels) // 2
    rows = [first_row + number * pitch for number in range(count)]
    columns = [first_column + number * pitch for number in range(count)]
    full = [within.top, *(edge for row in rows for edge in (row, row + pixels)), within.bottom]
    shapes: list[Shape] = [within._replace(top=top, bottom=bottom)
                           for top, bottom in zip(full[::2], full[1::2], strict=True)]
    sides = [within.left, *(edge for column in columns for edge in (column, column + pixels)),
             within.right]
    shapes += [Box(left, row, right, row + pixels) for row in rows
               for left, right in zip(sides[::2], sides[1::2], strict=True)]
    return shapes


def exposure_field() -> MarkField:
    """Like fields of fine lines and gaps, for a stencil exposed in steps."""
    high = 4.0
    pitch = 12.0

    def draw(at: Corner, _: FilmOfJob) -> list[Shape]:
        shapes: list[Shape] = []
        for number in range(EXPOSURE_FIELDS):
            left = number * pitch
            edges = [left + 0.5 + 1.8 * k for k in range(len(EXPOSURE_LINES_UM))]
            shapes += [at.box(edge, 0, um / 1000, high)
                       for edge, um in zip(edges, EXPOSURE_LINES_UM, strict=True)]
            gaps = [at.box(edge, high, um / 1000, high)
                    for edge, um in zip(edges, EXPOSURE_LINES_UM, strict=True)]
            solid = at.box(left, high + 0.5, pitch - 2.0, high)
            shapes += [solid._replace(left=start, right=end) for start, end in pairwise_gaps(
                solid, gaps)]
            shapes.append(at.words(left, 2 * high + 3.0, f"step {number + 1}"))
        shapes.append(at.words(0, 2 * high + 5.8, f"{', '.join(map(str, EXPOSURE_LINES_UM))} µm; "
                               "uncover step by step"))
        return shapes
    return MarkField(wide_mm=EXPOSURE_FIELDS * pitch, high_mm=2 * high + 3.0 + CAPTION_MM,
                     draw=draw)


def pairwise_gaps(solid: Box, gaps: list[Box]) -> list[tuple[int, int]]:
    """What is left of a solid's columns between gaps in it."""
    edges = [solid.left, *(edge for gap in gaps for edge in (gap.left, gap.right)), solid.right]
    return list(zip(edges[::2], edges[1::2], strict=True))


def vernier_field(order: int) -> MarkField:
    """Two verniers of one ink against the first: across, and along.

    Film 1 has the scale of whole millimetres, film ``order`` the one of 0.95 mm; where two ticks
    meet, their number from the middle times 0.05 mm is how far the ink lies to the right, or to
    the tail, of the first.
    """
    reach = VERNIER_TICKS * MAIN_STEP_MM

    def draw(at: Corner, film: FilmOfJob) -> list[Shape]:
        if film.order not in (1, order):
            return []
        first = film.order == 1
        step = MAIN_STEP_MM if first else VERNIER_STEP_MM
        middle_x, middle_y = reach + 1.0, reach + 1.0
        shapes: list[Shape] = []
        for number in range(-VERNIER_TICKS, VERNIER_TICKS + 1):
            long_mm = 3.5 if number == 0 else 3.0 if number % 5 == 0 else 2.2
            across, down = middle_x + number * step, middle_y + number * step
            off = -long_mm if first else 0.0
            shapes.append(at.tick(across, 4.5 + off, long_mm, level=False))
            shapes.append(at.tick(2 * reach + 8.0 + off, down, long_mm, level=True))
        if first:
            shapes += [at.words(middle_x, 12.0, f"{order} on 1", "centre"),
                       at.words(middle_x, 14.8, "one step 0.05 mm", "centre")]
        return shapes
    return MarkField(wide_mm=2 * reach + 13.0, high_mm=2 * reach + 2.0, draw=draw)


def overprint_sets(count: int) -> tuple[tuple[int, ...], ...]:
    """Which inks lie on each patch: each alone, pairs in print order, and all."""
    singles = [(one,) for one in range(1, count + 1)]
    pairs = (list(combinations(range(1, count + 1), 2)) if count <= _ALL_PAIRS
             else list(pairwise(range(1, count + 1))))
    return (*singles, *pairs, *([tuple(range(1, count + 1))] if count > 2 else []))


def overprint_field(count: int, room_mm: float) -> MarkField:
    """Solids of the inks on each other in print order, in as many rows as the room asks for."""
    sets = overprint_sets(count)
    pitch, down = OVERPRINT_MM + 1.5, OVERPRINT_MM + CAPTION_MM
    in_row = max(1, min(len(sets), int(room_mm // pitch)))
    rows = -(-len(sets) // in_row)

    def draw(at: Corner, film: FilmOfJob) -> list[Shape]:
        shapes: list[Shape] = []
        for number, inks in enumerate(sets):
            row, column = divmod(number, in_row)
            if film.order in inks:
                shapes.append(at.box(column * pitch, row * down, OVERPRINT_MM, OVERPRINT_MM))
            if film.order == inks[0]:
                told = "all" if len(inks) > 2 else " + ".join(map(str, inks))
                shapes.append(at.words(column * pitch, row * down + OVERPRINT_MM + 2.4, told))
        return shapes
    return MarkField(wide_mm=in_row * pitch, high_mm=rows * down, draw=draw)
