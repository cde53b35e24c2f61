"""The film as a sheet: image, margins and boxes, all in whole film pixels."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, NamedTuple

from preflight.frames.film_scale import Bounds, FilmScale
from preflight.frames.raster_grid import RasterGrid, grid_over
from preflight.units import MM_PER_INCH, POINTS_PER_INCH

Reading = Literal["right-reading", "mirrored"]

#: Free film round the image (mm), enough for the marks that stand there: our own choice.
NOSE_MARGIN_MM = 26.0
TAIL_MARGIN_MM = 52.0
SIDE_MARGIN_MM = 16.0
#: What each further line of the label takes (mm).
FURTHER_LINE_MM = 4.7


class Box(NamedTuple):
    """A rectangle of the page in pixels from its upper left corner; half-open."""

    left: int
    top: int
    right: int
    bottom: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmSheet:
    """One board's film sheet, the same for every ink.

    Attributes
    ----------
    dpi : float
        Film pixels per inch.
    art_grid : RasterGrid
        The image's pixels in the board frame: the printed area's bounds.
    page_grid : RasterGrid
        The whole page's pixels in the board frame, the image's pixels continued.
    trim_bounds_mm : tuple of float
        (least x, least y, greatest x, greatest y) of the trim.
    reading : Reading
        Mirrored sheets are laid out alike and flipped left to right, text and all.
    scale : FilmScale
        Film mm for one mm of board. The grids and the trim lie on the film, so all that stands
        for a place on the board is moved; strokes, lettering and the wedge keep their size.
    label_aside_mm, label_below_mm : float
        What is left free to the right of the label, and below it beside the page's edge (mm).
    label_down_mm : float
        What is left free between the wedge and the label, for a panel's rule (mm).
    strip_mm : float
        How much of the film's length the press strip takes, beyond the rule at the nose (mm).
    strip_parts_mm : tuple of (float, float)
        Of a film for panels: the stretches of the page's width, from its left edge (mm), that no
        seam reaches, for the strip's marks; empty for a film in one piece.
    """

    dpi: float
    art_grid: RasterGrid
    page_grid: RasterGrid
    trim_bounds_mm: Bounds
    reading: Reading
    scale: FilmScale = FilmScale()
    label_aside_mm: float = 0.0
    label_below_mm: float = 0.0
    label_down_mm: float = 0.0
    strip_mm: float = 0.0
    strip_parts_mm: tuple[tuple[float, float], ...] = ()

    @property
    def point_per_pixel(self) -> float:
        """PDF points to one film pixel."""
        return POINTS_PER_INCH / self.dpi

    @property
    def page_width_mm(self) -> float:
        """Width of the film (mm)."""
        return self.page_grid.columns * self.page_grid.pixel_mm

    @property
    def page_length_mm(self) -> float:
        """Length of the film (mm)."""
        return self.page_grid.rows * self.page_grid.pixel_mm

    @property
    def art_box(self) -> Box:
        """The image on the page; also the bleed box."""
        left = round(self.page_grid.column_of(self.art_grid.left_y_mm))
        top = round(self.page_grid.row_of(self.art_grid.top_x_mm))
        return Box(left, top, left + self.art_grid.columns, top + self.art_grid.rows)

    @property
    def trim_box(self) -> Box:
        """The trim's bounds on the page, to the nearest pixel, within the image."""
        least_x, least_y, greatest_x, greatest_y = self.trim_bounds_mm
        art = self.art_box
        return Box(max(art.left, self.column(greatest_y)), max(art.top, self.row(greatest_x)),
                   min(art.right, self.column(least_y)), min(art.bottom, self.row(least_x)))

    def row(self, x_mm: float) -> int:
        """The page row whose upper edge is nearest to x."""
        return round(self.page_grid.row_of(x_mm))

    def column(self, y_mm: float) -> int:
        """The page column whose left edge is nearest to y."""
        return round(self.page_grid.column_of(y_mm))

    def pixels(self, length_mm: float) -> int:
        """A length in whole film pixels, at least one."""
        return max(1, round(length_mm / self.page_grid.pixel_mm))

    def down(self, length_mm: float) -> int:
        """A length along the board in whole film pixels, at least one."""
        return self.pixels(length_mm * self.scale.along)

    def over(self, length_mm: float) -> int:
        """A length across the board in whole film pixels, at least one."""
        return self.pixels(length_mm * self.scale.across)

    def part_grid(self, box: Box) -> RasterGrid:
        """The board-frame grid of a part of the page."""
        page = self.page_grid
        return RasterGrid(top_x_mm=page.top_x_mm - box.top * page.pixel_mm,
                          left_y_mm=page.left_y_mm - box.left * page.pixel_mm,
                          pixel_mm=page.pixel_mm,
                          rows=box.bottom - box.top, columns=box.right - box.left)


class PressRoom(NamedTuple):
    """Room for the marks that the press needs.

    Attributes
    ----------
    strip_mm : float
        What the press strip takes of the film's length at the nose (mm).
    reach_mm : tuple of float, optional
        Bounds, in board mm, that the film must reach to at least.
    parts_mm : tuple of (float, float)
        Stretches of the page's width for the strip's marks, as of `FilmSheet.strip_parts_mm`.
    """

    strip_mm: float = 0.0
    reach_mm: Bounds | None = None
    parts_mm: tuple[tuple[float, float], ...] = ()


NO_PRESS_ROOM = PressRoom()


def film_sheet(printed_bounds_mm: Bounds, trim_bounds_mm: Bounds, dpi: float,
               reading: Reading = "right-reading", *, scale: FilmScale = FilmScale(),
               further_lines: int = 0, apron_mm: float = 0.0,
               press: PressRoom = NO_PRESS_ROOM) -> FilmSheet:
    """Lay out the sheet of a board.

    Parameters
    ----------
    printed_bounds_mm, trim_bounds_mm : tuple of float
        (least x, least y, greatest x, greatest y) of the printed area, bleed included, and of
        the trim, in board mm.
    dpi : float
        Film pixels per inch.
    reading : Reading
        ``right-reading`` (emulsion up, as screen printing takes it) or ``mirrored``.
    scale : FilmScale
        Film mm for one mm of board.
    further_lines : int
        Lines that the label has beyond its usual four.
    apron_mm : float
        Free film round all that (mm).
    press : PressRoom
        What the marks for the press take.
    """
    pixel_mm = MM_PER_INCH / dpi
    art = grid_over(scale.grown_bounds(printed_bounds_mm), pixel_mm)
    least_x, least_y, greatest_x, greatest_y = scale.grown_bounds(
        press.reach_mm or printed_bounds_mm)
    nose, tail, side = (
        math.ceil(max(margin + apron_mm, beyond) / pixel_mm) for margin, beyond in (
            (NOSE_MARGIN_MM + press.strip_mm, greatest_x - art.top_x_mm),
            (TAIL_MARGIN_MM + further_lines * FURTHER_LINE_MM,
             art.top_x_mm - art.rows * pixel_mm - least_x),
            (SIDE_MARGIN_MM, max(greatest_y - art.left_y_mm,
                                 art.left_y_mm - art.columns * pixel_mm - least_y))))
    # Whole bytes, so that packed rows of the image fall on whole bytes of the page.
    side = -(-side // 8) * 8
    page = RasterGrid(top_x_mm=art.top_x_mm + nose * pixel_mm,
                      left_y_mm=art.left_y_mm + side * pixel_mm, pixel_mm=pixel_mm,
                      rows=art.rows + nose + tail, columns=art.columns + 2 * side)
    return FilmSheet(dpi=dpi, art_grid=art, page_grid=page, reading=reading, scale=scale,
                     label_below_mm=apron_mm, strip_mm=press.strip_mm,
                     strip_parts_mm=press.parts_mm,
                     trim_bounds_mm=scale.grown_bounds(trim_bounds_mm))
