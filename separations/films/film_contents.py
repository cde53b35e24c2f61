"""What each ink's film shows, and the sheet that all inks of a job share."""

from __future__ import annotations

from functools import partial

import numpy as np

from preflight.board.area_mask import RowSpans, row_spans
from preflight.job_file.job_tables import InkTable
from separations.films.film_sheet import FilmSheet, film_sheet
from separations.films.job_label import lines_needed, panel_lines_needed
from separations.films.job_panels import check_panels_fit, printer_room
from separations.films.splice_marks import APRON_MM
from separations.halftone.film_bands import in_order
from separations.halftone.film_content import FilmContent, grid_of_four
from separations.halftone.screening import Screening, prepare
from separations.planes.art_separation import ArtSeparation
from separations.planes.laid_out_job import LaidOutJob
from separations.planes.overlays import Overlay, lines_of


def job_sheet(laid: LaidOutJob) -> FilmSheet:
    """The film sheet that all inks of the job share; with an apron where it is for panels."""
    film = laid.job.film
    plain = partial(film_sheet, laid.area.image_bounds, laid.area.trim.bounds,
                    film.resolution.dpi, film.reading, scale=film.scale)
    whole = plain(further_lines=lines_needed(laid, plain()))
    room = printer_room(film)
    if film.panels and not room.holds(whole):
        whole = plain(apron_mm=APRON_MM)
        whole = plain(further_lines=panel_lines_needed(laid, whole, room), apron_mm=APRON_MM)
        check_panels_fit(whole, laid.job)
    return whole


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
    """
    tones, tone_grid = separation.tones_of(ink, laid.job), separation.grid
    if tones is None:
        tones, tone_grid = np.zeros((2, 2), np.uint16), grid_of_four(sheet.art_grid)
    return FilmContent(
        tones=tones, tone_grid=tone_grid, film_grid=sheet.art_grid,
        spec=laid.job.halftone_of(ink), spans=spans,
        whole_edge_dots=laid.job.area.edge_dots == "whole", lines=lines_of(ink, overlays),
        scale=laid.job.film.scale)


def film_screenings(contents: tuple[FilmContent, ...]) -> tuple[Screening, ...]:
    """Films made ready to screen, in print order: once, for whatever is made of them."""
    return tuple(in_order(prepare, contents, 2))
