"""A job read, laid on its board, separated and checked."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from preflight.art.artwork_pixels import load_pixels
from preflight.art.kept_pixels import KeptPixels, LoadPixels
from preflight.checks.catalogue import run_checks
from preflight.facts.submission import Submission
from preflight.findings import Finding
from preflight.job_file.job_reader import read_job
from preflight.photo_quality.photo_facts import PhotoFacts
from preflight.photo_quality.photo_measuring import measure_photo
from separations.colour.job_inks import profile_inks, profiled_curve
from separations.films.film_set import (
    job_sheet,
)
from separations.measuring.hold.job_hold import MeshHold, measure_hold
from separations.measuring.moire.job_moire import measure_moire, measure_rosettes
from separations.planes.art_separation import ArtSeparation, measure_tones, separate_photos
from separations.planes.drawn_facts import measure_drawn
from separations.planes.ink_heights import measure_layers
from separations.planes.laid_out_job import LaidOutJob, lay_out
from separations.planes.line_work import LineWork, line_work, measure_lines, measure_lost_lines
from separations.planes.overlays import Overlay, overlays_of
from separations.runtime.free_memory import give_back_free_memory

Say = Callable[[str], None]


def silent(_stage: str) -> None:
    """Say nothing."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PreparedJob:
    """A job on its board, separated and checked; ready for films, proof or ink."""

    laid: LaidOutJob
    separation: ArtSeparation
    overlays: tuple[Overlay, ...]
    submission: Submission
    findings: tuple[Finding, ...]
    hold: MeshHold


def prepare(job_path: Path, say: Say, finest_ppi: float | None = None,
            load: KeptPixels | None = None) -> PreparedJob:
    """Read a job, lay it on its board, separate and check it.

    Parameters
    ----------
    job_path : Path
        The job file.
    say : callable
        Told what is being done.
    finest_ppi : float, optional
        Work no finer than this (for a quick look).
    load : KeptPixels, optional
        Keeps the photographs, where decoding them has begun already; afterwards it is empty.

    Raises
    ------
    InputProblem
        When the job, its outline or its art cannot be used.
    """
    job = read_job(job_path)
    laid = lay_out(job)
    say("Separating the art")
    load = load or KeptPixels()
    with ThreadPoolExecutor(2) as beside:  # measured on one core while the other goes on
        photos = beside.submit(measure_photos, laid, load)
        pictures = beside.submit(line_work, laid, finest_ppi=finest_ppi)
        separation = separate_photos(laid, finest_ppi=finest_ppi, load=load)
        moire = beside.submit(measure_moire, laid, separation, load)
        tones = beside.submit(measure_tones, laid, separation)
        overlays = overlays_of(laid, separation, finest_ppi, pictures=pictures.result())
        raster = tuple(sheet for sheet in overlays if isinstance(sheet, LineWork))
        drawn = beside.submit(
            lambda: measure_drawn(laid, separation, overlays, measure_lines(laid, raster)))
        hold = measure_hold(laid, separation, overlays, quick=finest_ppi is not None)
        layers = measure_layers(laid, separation, overlays)
    load.forget()
    give_back_free_memory()
    sheet = job_sheet(laid)
    drawings, lines = drawn.result()
    submission = Submission(
        job=job, outline=laid.outline, area=laid.area, art=laid.art,
        film_length_mm=sheet.page_length_mm, film_width_mm=sheet.page_width_mm,
        tones=tones.result(), moire=moire.result(), photos=photos.result(),
        rosettes=measure_rosettes(laid, separation),
        lines=lines, drawings=drawings,
        fittings=laid.fittings, lines_kept_off=measure_lost_lines(laid, raster),
        hold=hold.facts, layers=layers,
        profile_inks=profile_inks(job),
        profiled=tuple(ink.name for ink in job.photo_inks if profiled_curve(job, ink)))
    return PreparedJob(laid=laid, separation=separation, overlays=overlays, submission=submission,
                       findings=run_checks(submission), hold=hold)


def measure_photos(laid: LaidOutJob,
                   load: LoadPixels = load_pixels) -> tuple[PhotoFacts, ...]:
    """Measure each photograph's own pixels for the finest ruling that prints it."""
    inks = laid.job.photo_inks
    if not inks:
        return ()
    finest = max(laid.job.ruling_of(ink).lpcm for ink in inks)
    return tuple(measure_photo(art.artwork, art.placed, laid.area.printed, file=art.table.file,
                               ruling_lpcm=finest, load=load)
                 for art in laid.art if art.table.kind == "photo")
