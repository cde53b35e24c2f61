"""A job's films in panels, where they do not fit the film printer and the job asks for panels."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preflight.board.area_mask import coverage_mask
from preflight.frames.raster_grid import RasterGrid
from preflight.frames.tiled_plane import TiledPlane
from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_tables import FilmTable
from separations.films.film_formats import write_formats
from separations.films.film_label import FilmLabel
from separations.films.film_made import PanelMade
from separations.films.film_pdf import write_film
from separations.films.film_sheet import Box, FilmSheet
from separations.films.marks import Shape
from separations.films.panels import (
    Panel,
    PanelDots,
    PrinterRoom,
    QuietArt,
    panel_dots,
    panel_words,
    panels_fit,
    plan_panels,
)
from separations.films.read_back import read_back
from separations.halftone.film_bands import row_bands
from separations.halftone.film_content import FilmDots
from separations.halftone.screening import Screening, prepare
from separations.planes.art_separation import ArtSeparation
from separations.planes.line_work import LineWork
from separations.planes.overlays import Overlay
from separations.runtime.progress import Progress

#: How much more a drawn line under a seam counts than a solid of one ink. Own rule, no source.
_LINES_COUNT = 4.0
_FULL = 65_535
_COUNTED_ROWS = 1024


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelledFilm:
    """One ink's panels, their common ink, and the files made beside them."""

    panels: tuple[PanelMade, ...]
    ink_pixels: int
    further: tuple[str, ...]


def printer_room(film: FilmTable) -> PrinterRoom:
    """What the job's film printer takes."""
    return PrinterRoom(width_mm=film.width.mm, length_mm=film.length.mm,
                       overlap_mm=film.panel_overlap.mm)


def check_panels_fit(sheet: FilmSheet, job: Job) -> None:
    """Refuse a film printer that is too small for the job's panels.

    Raises
    ------
    InputProblem
        When its sheet is hardly more than the overlaps and the label, or panels would be needed
        that have no edge of the whole film, where splice marks stand.
    """
    if not panels_fit(sheet, printer_room(job.film)):
        raise _too_small(job)


def job_panels(sheet: FilmSheet, job: Job, separation: ArtSeparation,
               overlays: tuple[Overlay, ...]) -> tuple[Panel, ...]:
    """The panels of all inks' films, the same for each; none where the whole film fits.

    Seams keep away from ink as all inks together have it: panels of one ink lie on those of the
    others, and the operator cuts and tapes all films alike.

    Raises
    ------
    InputProblem
        When no panels would do.
    """
    room = printer_room(job.film)
    if not job.film.panels or room.holds(sheet):
        return ()
    try:
        return plan_panels(sheet, room, quiet_art(sheet, separation, overlays))
    except ValueError:
        raise _too_small(job) from None


def quiet_art(sheet: FilmSheet, separation: ArtSeparation,
              overlays: tuple[Overlay, ...]) -> QuietArt:
    """How much ink each whole millimetre of the page carries, along and across."""
    columns = np.zeros(int(sheet.page_width_mm) + 1)
    rows = np.zeros(int(sheet.page_length_mm) + 1)
    planes = [*separation.planes, *([] if separation.underbase is None else
                                    [separation.underbase])]
    weighed: list[tuple[NDArray[np.uint16] | TiledPlane, RasterGrid, float]] = [
        (plane, separation.grid, 1 / _FULL / len(planes)) for plane in planes]
    coarse = _coarse(separation.grid)
    weighed += [(work.cover, work.grid, _LINES_COUNT / 255) if isinstance(work, LineWork) else
                (coverage_mask(work.visible, coarse), coarse, _LINES_COUNT / _FULL)
                for work in overlays]
    for plane, grid, weight in weighed:
        row_means, column_means = (plane.means() if isinstance(plane, TiledPlane) else
                                   (plane.mean(axis=1), plane.mean(axis=0)))
        columns += weight * np.interp(_plane_columns(sheet, grid, len(columns)),
                                      np.arange(grid.columns), column_means)
        rows += weight * np.interp(_plane_rows(sheet, grid, len(rows)),
                                   np.arange(grid.rows), row_means)
    pixel_mm, art = sheet.page_grid.pixel_mm, sheet.art_box
    for ink, first, end in ((columns, art.left, art.right), (rows, art.top, art.bottom)):
        place = np.arange(len(ink))
        ink[(place <= first * pixel_mm) | (place >= end * pixel_mm)] = np.inf
    return QuietArt(columns=columns, rows=rows)


def _coarse(grid: RasterGrid) -> RasterGrid:
    """Millimetres over the same area."""
    return RasterGrid(top_x_mm=grid.top_x_mm, left_y_mm=grid.left_y_mm, pixel_mm=1.0,
                      rows=ceil(grid.rows * grid.pixel_mm), columns=ceil(grid.columns *
                                                                         grid.pixel_mm))


def write_panels(
    folder: Path, name: str, content: FilmDots | Screening,
    panels: tuple[tuple[Panel, tuple[Shape, ...]], ...], label: FilmLabel, film: FilmTable, *,
    progress: Progress | None = None,
) -> PanelledFilm:
    """Write one ink's panels below ``folder`` and read each back.

    Parameters
    ----------
    folder, name : Path, str
        The output folder, and the film's name below it without an ending.
    content : FilmDots or Screening
        The whole film.
    panels : tuple of (Panel, tuple of Shape)
        From `job_panels`, each with this ink's marks.
    label : FilmLabel
        The whole film's; each panel's says also which it is.
    film : FilmTable
        Coding, and what else is wanted.
    progress : callable, optional
        Told of each panel's rows, as it is written and as it is read.

    Raises
    ------
    FilmReadBackError
        When a panel does not hold the dots that were screened.
    """
    whole = prepare(content)
    made, ink_pixels = [], 0
    further: list[str] = []
    for panel, shapes in panels:
        stem = f"{name}_panel_{panel.number}_of_{panel.count}"
        dots = panel_dots(whole, panel)
        told = replace(label, panel=f"panel {panel.number} of {panel.count}",
                       further=(*label.further, label_line(panel, film)))
        record = write_film(folder / f"{stem}.pdf", dots, panel.sheet, told, coding=film.coding,
                            shapes=shapes, progress=progress)
        read_back(record, dots, panel.sheet, progress=progress)
        further += write_formats(folder, stem, film.also, dots, panel.sheet, told,
                                 shapes=shapes)
        ink_pixels += record.ink_pixels - _seen_before(dots, panel)
        made.append(PanelMade(
            number=panel.number, told=panel.told, file=f"{stem}.pdf", columns=record.columns,
            rows=record.rows, first_column=panel.art.left, first_row=panel.art.top,
            page_length_mm=panel.sheet.page_length_mm, page_width_mm=panel.sheet.page_width_mm,
            sha256=record.sha256))
    return PanelledFilm(panels=tuple(made), ink_pixels=ink_pixels, further=tuple(further))


def label_line(panel: Panel, film: FilmTable) -> str:
    """What a panel's label says of it."""
    return panel_words(panel.number, panel.columns, panel.rows, film.panel_overlap.written)


def _too_small(job: Job) -> InputProblem:
    film = job.film
    return InputProblem(
        where=f"{job.path}: film.panels",
        found=f"a film printer of {film.width.written} by {film.length.written} with overlaps of "
              f"{film.panel_overlap.written}, too small for panels",
        would_do="a greater width or length, or a smaller panel_overlap,")


def _seen_before(dots: PanelDots, panel: Panel) -> int:
    """Inked pixels of a panel that panels before it show too."""
    rows, columns = dots.film_grid.rows, dots.film_grid.columns
    left, top = panel.fresh.left - panel.art.left, panel.fresh.top - panel.art.top
    return _ink(dots, Box(0, 0, columns, top)) + _ink(dots, Box(0, top, left, rows))


def _ink(dots: PanelDots, box: Box) -> int:
    """Inked pixels of a region whose first column is a multiple of 8."""
    if box.left >= box.right:
        return 0
    return sum(int(np.bitwise_count(dots.region(box.top + first, box.top + end, box.left,
                                                box.right)).sum(dtype=np.int64))
               for first, end in row_bands(box.bottom - box.top, _COUNTED_ROWS))


def _plane_columns(sheet: FilmSheet, grid: RasterGrid, count: int) -> NDArray[np.float64]:
    """Plane columns, counted from centres, at whole millimetres of the page."""
    y_mm = (sheet.page_grid.left_y_mm - np.arange(count)) / sheet.scale.across
    return np.asarray((grid.left_y_mm - y_mm) / grid.pixel_mm - 0.5)


def _plane_rows(sheet: FilmSheet, grid: RasterGrid, count: int) -> NDArray[np.float64]:
    x_mm = (sheet.page_grid.top_x_mm - np.arange(count)) / sheet.scale.along
    return np.asarray((grid.top_x_mm - x_mm) / grid.pixel_mm - 0.5)
