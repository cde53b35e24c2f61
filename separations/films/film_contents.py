"""What each ink's film shows, and the sheet that all inks of a job share."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np

from preflight.board.area_mask import RowSpans, row_spans
from preflight.frames.film_scale import Bounds
from preflight.frames.raster_grid import without_rim
from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from separations.films.film_sheet import FilmSheet, PressRoom, film_sheet
from separations.films.job_label import lines_needed, panel_lines_needed
from separations.films.job_panels import check_panels_fit, printer_room
from separations.films.panels import parts_without_seams_mm, split_of
from separations.films.press_marks import PressMarks, press_marks_of, strip_mm, strip_parts
from separations.films.register_pins import check_pins, pin_reach_mm
from separations.films.splice_marks import APRON_MM
from separations.halftone.film_bands import in_order
from separations.halftone.film_content import FilmContent, grid_of_four
from separations.halftone.screening import Screening, prepare
from separations.planes.art_separation import ArtSeparation
from separations.planes.laid_out_job import LaidOutJob
from separations.planes.overlays import Overlay, lines_of
from separations.planes.traps import choke


def job_sheet(laid: LaidOutJob) -> FilmSheet:
    """The film sheet that all inks of the job share; with an apron where it is for panels."""
    job, film = laid.job, laid.job.film
    marks, room = press_marks_of(job), printer_room(film)
    press = PressRoom(reach_mm=pin_reach_mm(marks))
    plain = partial(film_sheet, _dots_bounds(laid), laid.area.trim.bounds, film.resolution.dpi,
                    film.reading, scale=film.scale)
    lines = lines_needed(laid, plain(press=press))
    sheet = with_press_strip(plain, plain(further_lines=lines, press=press), lines, job, marks)
    if film.panels and not room.holds(sheet):
        plain = partial(plain, apron_mm=APRON_MM)
        press = press._replace(parts_mm=parts_without_seams_mm(plain(press=press), room))
        lines = panel_lines_needed(laid, plain(press=press), room)
        sheet = with_press_strip(plain, plain(further_lines=lines, press=press), lines, job,
                                 marks)
        check_panels_fit(sheet, job)
    check_pins(sheet, f"{job.path}: frame.pins", marks)
    return sheet


def with_press_strip(plain: Callable[..., FilmSheet], whole: FilmSheet, lines: int, job: Job,
                     marks: PressMarks) -> FilmSheet:
    """The sheet with the press strip at its nose, where the job names its marks or it fits.

    On a film for panels it fits where it takes no further panel.

    Parameters
    ----------
    plain : callable
        Lays the sheet out, given ``further_lines`` and ``press``.
    whole, lines : FilmSheet, int
        The sheet without the strip, and the further lines of its label.
    job, marks : Job, PressMarks
        The job, and the marks that its films have.
    """
    room, parts = printer_room(job.film), whole.strip_parts_mm
    with_strip = plain(further_lines=lines, press=PressRoom(
        strip_mm=strip_mm(marks, strip_parts(whole)), reach_mm=pin_reach_mm(marks),
        parts_mm=parts))
    fits = (split_of(with_strip, room)[:2] == split_of(whole, room)[:2] if parts
            else room.holds(with_strip))
    if job.film.marks is not None or (fits and _in_frame(with_strip, job)):
        return with_strip
    return whole


def _in_frame(sheet: FilmSheet, job: Job) -> bool:
    """Whether a film lies within its screen's frame."""
    return (sheet.page_length_mm <= job.frame.inside_length.mm
            and sheet.page_width_mm <= job.frame.inside_width.mm)


def _dots_bounds(laid: LaidOutJob) -> Bounds:
    """Bounds of all that may be inked: dots that stay whole reach past the printed area."""
    bounds = laid.area.image_bounds
    if laid.job.area.edge_dots == "cut":
        return bounds
    reach_mm = max(laid.job.halftone_of(ink).dot_reach_mm for ink in laid.job.ink)
    return (bounds[0] - reach_mm, bounds[1] - reach_mm, bounds[2] + reach_mm, bounds[3] + reach_mm)


def film_spans(laid: LaidOutJob, sheet: FilmSheet) -> RowSpans:
    """The printed area as runs of film columns, row by row, on a sheet's art."""
    return row_spans(laid.job.film.scale.grown(laid.area.printed), sheet.art_grid)


def film_content(laid: LaidOutJob, ink: InkTable, separation: ArtSeparation,
                 overlays: tuple[Overlay, ...], sheet: FilmSheet,
                 spans: RowSpans) -> FilmContent:
    """What one ink's film shows.

    Parameters
    ----------
    laid, ink : LaidOutJob, InkTable
        The job, and one of its inks.
    separation, overlays : ArtSeparation, tuple of Overlay
        Its photographs as tones, and all that lies on them.
    sheet, spans : FilmSheet, RowSpans
        Where the film's pixels lie, and which of them may carry ink.

    Notes
    -----
    An ink's choke draws the printed area in on the film's own pixels, so that it is exact
    whatever the pixels of the art.
    """
    tones, tone_grid = separation.tones_of(ink, laid.job), separation.grid
    if tones is None:
        tones, tone_grid = np.zeros((2, 2), np.uint16), grid_of_four(sheet.art_grid)
    whole_dots = laid.job.area.edge_dots == "whole"
    if whole_dots and min(tones.shape) > 2:
        # The art covers pixels at the rim in part; the next ones are repeated outwards instead.
        tones, tone_grid = tones[1:-1, 1:-1], without_rim(tone_grid)
    choke_mm = laid.job.choke_mm_of(ink)
    if choke_mm > 0:
        inner = choke(laid.area.printed, choke_mm)
        spans = row_spans(laid.job.film.scale.grown(inner), sheet.art_grid)
    return FilmContent(
        tones=tones, tone_grid=tone_grid, film_grid=sheet.art_grid,
        spec=laid.job.halftone_of(ink), spans=spans,
        whole_edge_dots=whole_dots, lines=lines_of(ink, overlays),
        scale=laid.job.film.scale)


def film_screenings(contents: tuple[FilmContent, ...]) -> tuple[Screening, ...]:
    """Films made ready to screen, in print order: once, for whatever is made of them."""
    return tuple(in_order(prepare, contents, 2))
