"""The job's films: one for each ink, with its line work, written and read back."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np

from preflight.board.area_mask import row_spans
from preflight.frames.raster_grid import RasterGrid
from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from preflight.press.mesh import Mesh
from separations.colour.display import solid_srgb
from separations.colour.job_inks import profile_of, whole_model
from separations.colour.press_profile import measured_deposit_um
from separations.films.film_made import FilmMade
from separations.films.film_names import film_name
from separations.films.film_pdf import write_film
from separations.films.film_sheet import FilmSheet, film_sheet
from separations.films.film_tiff import write_film_tiff
from separations.films.job_label import job_label, lines_needed, panel_lines_needed
from separations.films.job_panels import (
    check_panels_fit,
    job_panels,
    printer_room,
    write_panels,
)
from separations.films.read_back import read_back
from separations.films.splice_marks import APRON_MM
from separations.films.tiff_read_back import read_back_tiff
from separations.films.unscreened_outputs import write_unscreened_pages
from separations.halftone.film_bands import film_bands, in_order
from separations.halftone.film_content import FilmContent, grid_of_four
from separations.halftone.screening import Screening, prepare
from separations.ink_need.ink_estimate import InkEstimate, Range, deposit_um, estimate_ink
from separations.planes.art_separation import ArtSeparation
from separations.planes.laid_out_job import LaidOutJob
from separations.planes.overlays import Overlay, lines_of
from separations.runtime.progress import Progress

Say = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmSet:
    """The films that were made, and the ink that their dots take.

    Attributes
    ----------
    films : tuple of FilmMade
        In print order; empty when dots were only counted.
    estimates : tuple of InkEstimate
        In print order.
    further : tuple of str
        Files that the job asked for besides, by their paths inside the output folder.
    """

    films: tuple[FilmMade, ...]
    estimates: tuple[InkEstimate, ...]
    further: tuple[str, ...] = ()


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


def film_contents(
    laid: LaidOutJob, separation: ArtSeparation, overlays: tuple[Overlay, ...], grid: RasterGrid
) -> Iterator[tuple[InkTable, FilmContent]]:
    """What each ink's film shows, in print order, on the film pixels of ``grid``."""
    scale = laid.job.film.scale
    spans = row_spans(scale.grown(laid.area.printed), grid)
    for ink in laid.job.ink:
        tones, tone_grid = separation.tones_of(ink, laid.job), separation.grid
        if tones is None:
            tones, tone_grid = np.zeros((2, 2), np.uint16), grid_of_four(grid)
        yield ink, FilmContent(
            tones=tones, tone_grid=tone_grid, film_grid=grid, spec=laid.job.halftone_of(ink),
            spans=spans, whole_edge_dots=laid.job.area.edge_dots == "whole",
            lines=lines_of(ink, overlays), scale=scale)


def film_screenings(
    laid: LaidOutJob, separation: ArtSeparation, overlays: tuple[Overlay, ...]
) -> tuple[tuple[InkTable, Screening], ...]:
    """Every ink's film made ready to screen, in print order: once, for whatever is made of it."""
    contents = list(film_contents(laid, separation, overlays, job_sheet(laid).art_grid))
    return tuple((ink, screening) for (ink, _), screening in zip(
        contents, in_order(lambda item: prepare(item[1]), contents, 2), strict=True))


def write_films(
    laid: LaidOutJob, separation: ArtSeparation, overlays: tuple[Overlay, ...], folder: Path,
    say: Say, *, screenings: tuple[tuple[InkTable, Screening], ...] | None = None,
    progress: Progress | None = None,
) -> FilmSet:
    """Write every ink's film below ``folder``, and what else the job asks for; read all back.

    ``screenings`` are the films' as `film_screenings` has them, where they are made already.
    ``progress`` is told of (pixels done, pixels in all): each film's once as they are written
    and once as they are read.

    Raises
    ------
    FilmReadBackError
        When a film does not hold the dots that were screened.
    """
    sheet = job_sheet(laid)
    model = whole_model(laid.job)
    panels = job_panels(sheet, laid.job, separation, overlays)
    (folder / "films").mkdir()
    films, estimates = [], []
    further: list[str] = []
    parts = 2 * len(laid.job.ink)
    for ink, screening in screenings or film_screenings(laid, separation, overlays):
        order = laid.job.ink.index(ink) + 1
        writing, reading = (_part_of(progress, 2 * order - back, parts, sheet) for back in (2, 1))
        name = f"films/{film_name(order, ink.name)}"
        say(f"Film {order} of {len(laid.job.ink)}: {ink.name}")
        label = job_label(laid, ink, order)
        if panels:
            cut = write_panels(folder, name, screening, panels, label, laid.job.film)
            made, ink_pixels = cut.panels, cut.ink_pixels
            file, sha256 = made[0].file, made[0].sha256
            further += cut.further
        else:
            record = write_film(folder / f"{name}.pdf", screening, sheet, label,
                                coding=laid.job.film.coding, progress=writing)
            read_back(record, screening, sheet, views=order == 1, progress=reading)
            made, ink_pixels, file, sha256 = (), record.ink_pixels, f"{name}.pdf", record.sha256
            if "tiff" in laid.job.film.also:
                read_back_tiff(write_film_tiff(folder / f"{name}.tif", screening.content, sheet,
                                               label))
                further.append(f"{name}.tif")
        inked_mm2 = _printed_mm2(ink_pixels, sheet)
        estimates.append(_estimate(laid, ink, inked_mm2))
        films.append(FilmMade(
            order=order, ink=ink, file=file, rows=sheet.art_grid.rows,
            columns=sheet.art_grid.columns,
            page_length_mm=sheet.page_length_mm, page_width_mm=sheet.page_width_mm,
            inked_mm2=inked_mm2, mean_tone=estimates[-1].mean_tone, sha256=sha256,
            solid_srgb=solid_srgb(model, order - 1), panels=made))
    further += write_unscreened_pages(laid, separation, overlays, sheet, folder, say)
    return FilmSet(films=tuple(films), estimates=tuple(estimates), further=tuple(further))


def count_films(
    laid: LaidOutJob, separation: ArtSeparation, overlays: tuple[Overlay, ...], say: Say
) -> FilmSet:
    """Count every film's dots without writing it."""
    sheet = job_sheet(laid)
    estimates = []
    for ink, content in film_contents(laid, separation, overlays, sheet.art_grid):
        say(f"Counting the dots of {ink.name}")
        inked = sum(int(np.bitwise_count(band).sum(dtype=np.int64))
                    for band in film_bands(content))
        estimates.append(_estimate(laid, ink, _printed_mm2(inked, sheet)))
    return FilmSet(films=(), estimates=tuple(estimates))


def _part_of(progress: Progress | None, part: int, parts: int,
             sheet: FilmSheet) -> Progress | None:
    """What tells of one film's rows as a part of all pixels to be passed."""
    if progress is None:
        return None
    columns = sheet.art_grid.columns
    return lambda rows, of: progress((part * of + rows) * columns, parts * of * columns)


def _printed_mm2(ink_pixels: int, sheet: FilmSheet) -> float:
    """Area that a film's ink pixels print."""
    return ink_pixels * sheet.art_grid.pixel_mm**2 / sheet.scale.area


def _estimate(laid: LaidOutJob, ink: InkTable, inked_mm2: float) -> InkEstimate:
    job = laid.job
    mesh = job.mesh_of(ink)
    return estimate_ink(
        ink=ink.name, inked_mm2=inked_mm2, printed_mm2=laid.area.printed.area,
        ink_volume_um=mesh.ink_volume_um,
        deposit=deposit_range(job, ink, mesh), density_g_per_ml=ink.density,
        boards=job.boards, left_in_screen_ml=ink.left_in_screen)


def deposit_range(job: Job, ink: InkTable, mesh: Mesh) -> Range:
    """What a solid takes (cm³/m²): weighed on this press, or reckoned."""
    profile = profile_of(job)
    weighed = profile.of(ink.name) if profile else None
    if weighed is not None and weighed.transfer is not None:
        return measured_deposit_um(weighed.transfer, mesh.ink_volume_um)
    return deposit_um(mesh, job.wood.absorption.fraction)
