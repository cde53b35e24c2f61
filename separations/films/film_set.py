"""The job's films: one for each ink, with its line work, written and read back."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from preflight.press.mesh import Mesh
from separations.colour.display import solid_srgb
from separations.colour.job_inks import profile_of, whole_model
from separations.colour.press_profile import measured_deposit_um
from separations.films.film_formats import write_formats
from separations.films.film_made import FilmMade
from separations.films.film_names import film_name
from separations.films.film_pdf import write_film
from separations.films.film_shapes import film_shapes, panel_shapes
from separations.films.film_sheet import FilmSheet
from separations.films.job_label import job_label
from separations.films.job_panels import job_panels, write_panels
from separations.films.read_back import read_back
from separations.films.unscreened_outputs import write_unscreened_pages
from separations.halftone.film_bands import film_bands
from separations.halftone.screening import Screening
from separations.ink_need.ink_estimate import InkEstimate, Range, deposit_um, estimate_ink
from separations.ink_need.stencil_build_up import build_up_um
from separations.planes.art_separation import ArtSeparation
from separations.planes.laid_out_job import LaidOutJob
from separations.planes.overlays import Overlay
from separations.runtime.progress import Progress, Say

_FULL = 65_535


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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReadyFilms:
    """A job's films, ready to be screened.

    Attributes
    ----------
    laid, separation, overlays : LaidOutJob, ArtSeparation, tuple of Overlay
        The job, its photographs as tones, and all that lies on them.
    sheet : FilmSheet
        The sheet that all inks share.
    screenings : tuple of Screening
        What each film shows, in print order.
    """

    laid: LaidOutJob
    separation: ArtSeparation
    overlays: tuple[Overlay, ...]
    sheet: FilmSheet
    screenings: tuple[Screening, ...]


def write_films(ready: ReadyFilms, folder: Path, say: Say, *,
                progress: Progress | None = None, despite_stops: int = 0) -> FilmSet:
    """Write every ink's film below ``folder``, and what else the job asks for; read all back.

    Labels tell of ``despite_stops`` findings that said stop. ``progress`` is told of (pixels
    done, pixels in all): each film's once as they are written and once as they are read.

    Raises
    ------
    FilmReadBackError
        When a film does not hold the dots that were screened.
    """
    laid, sheet = ready.laid, ready.sheet
    separation, overlays = ready.separation, ready.overlays
    model = whole_model(laid.job)
    panels = job_panels(sheet, laid.job, separation, overlays)
    (folder / "films").mkdir()
    films, estimates = [], []
    further: list[str] = []
    parts = 2 * len(laid.job.ink)
    for order, (ink, screening) in enumerate(
            zip(laid.job.ink, ready.screenings, strict=True), 1):
        writing, reading = (_part_of(progress, 2 * order - back, parts, sheet) for back in (2, 1))
        name = f"films/{film_name(order, ink.name)}"
        say(f"Film {order} of {len(laid.job.ink)}: {ink.name}")
        label = replace(job_label(laid, ink, order, sheet), despite_stops=despite_stops)
        if panels:
            cut = write_panels(folder, name, screening, tuple(
                (panel, panel_shapes(laid.job, ink, sheet, label, panel)) for panel in panels),
                label, laid.job.film)
            made, ink_pixels = cut.panels, cut.ink_pixels
            file, sha256 = made[0].file, made[0].sha256
            further += cut.further
        else:
            shapes = film_shapes(laid.job, ink, sheet, label)
            record = write_film(folder / f"{name}.pdf", screening, sheet, label, shapes=shapes,
                                coding=laid.job.film.coding, progress=writing)
            read_back(record, screening, sheet, views=order == 1, progress=reading)
            made, ink_pixels, file, sha256 = (), record.ink_pixels, f"{name}.pdf", record.sha256
            further += write_formats(folder, name, laid.job.film.also, screening, sheet, label,
                                     shapes=shapes)
        inked_mm2 = _printed_mm2(ink_pixels, sheet)
        estimates.append(estimate_of(laid, ink, inked_mm2, separation))
        films.append(FilmMade(
            order=order, ink=ink, file=file, rows=sheet.art_grid.rows,
            columns=sheet.art_grid.columns,
            page_length_mm=sheet.page_length_mm, page_width_mm=sheet.page_width_mm,
            inked_mm2=inked_mm2, mean_tone=estimates[-1].mean_tone, sha256=sha256,
            solid_srgb=solid_srgb(model, order - 1), panels=made))
    further += write_unscreened_pages(laid, separation, overlays, sheet, folder, say,
                                      despite_stops=despite_stops)
    return FilmSet(films=tuple(films), estimates=tuple(estimates), further=tuple(further))


def count_films(ready: ReadyFilms, say: Say) -> FilmSet:
    """Count every film's dots without writing it."""
    estimates = []
    for ink, screening in zip(ready.laid.job.ink, ready.screenings, strict=True):
        say(f"Counting the dots of {ink.name}")
        inked = sum(int(np.bitwise_count(band).sum(dtype=np.int64))
                    for band in film_bands(screening))
        estimates.append(estimate_of(ready.laid, ink, _printed_mm2(inked, ready.sheet),
                                     ready.separation))
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


def estimate_of(laid: LaidOutJob, ink: InkTable, inked_mm2: float,
                separation: ArtSeparation) -> InkEstimate:
    """What an ink needs, from the area (mm²) that its dots cover on the board."""
    job = laid.job
    mesh = job.mesh_of(ink)
    return estimate_ink(
        ink=ink.name, inked_mm2=inked_mm2, printed_mm2=laid.area.printed.area,
        ink_volume_um=mesh.ink_volume_um,
        deposit=deposit_range(job, ink, mesh, separation, inked_mm2), density_g_per_ml=ink.density,
        boards=job.boards, left_in_screen_ml=ink.left_in_screen)


def deposit_range(job: Job, ink: InkTable, mesh: Mesh, separation: ArtSeparation,
                  inked_mm2: float) -> Range:
    """What inked film takes (cm³/m²): weighed on this press, or reckoned.

    Parameters
    ----------
    job, ink, mesh : Job, InkTable, Mesh
        The job, the ink, and its cloth.
    separation : ArtSeparation
        The job's photographs as tones: their dots carry what the stencil's walls add.
    inked_mm2 : float
        Area of all the film's dots on the board (mm²), line work and flats included.
    """
    profile = profile_of(job)
    weighed = profile.of(ink.name) if profile else None
    if weighed is not None and weighed.transfer is not None:
        return measured_deposit_um(weighed.transfer, mesh.ink_volume_um)
    solid = deposit_um(mesh, job.wood_absorption)
    tones = separation.tones_of(ink, job)
    if tones is None or inked_mm2 <= 0:
        return solid
    height = (ink.mesh or job.mesh).emulsion_over_mesh
    added = build_up_um(tones, job.halftone_of(ink), mesh,
                        None if height is None else height.mm * 1000)
    dots_mm2 = float(tones.mean(dtype=np.float64)) / _FULL * tones.size \
        * separation.grid.pixel_mm**2
    part = min(1.0, dots_mm2 / inked_mm2)
    return Range(low=solid.low + part * added.low, likely=solid.likely + part * added.likely,
                 high=solid.high + part * added.high)
