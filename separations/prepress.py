"""The order of the steps, and the typed calls that do what the command does."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preflight.area_mask import coverage_mask
from preflight.checks.catalogue import run_checks
from preflight.findings import Finding, has_stop
from preflight.job_file import read_job
from preflight.raster_grid import grid_over
from preflight.submission import Submission
from preflight.units import MM_PER_INCH
from preflight.whole_files import whole_folder
from separations.halftone.film_bands import dots_in
from separations.ink_need.ink_table import ink_csv
from separations.inks.job_inks import whole_model
from separations.inks.job_profile import profiled_curve
from separations.job_films.film_set import (
    FilmSet,
    count_films,
    film_contents,
    job_sheet,
    write_films,
)
from separations.planes.art_separation import ArtSeparation, measure_tones, separate_photos
from separations.planes.gamut import OUT_OF_REACH
from separations.planes.laid_out_job import LaidOutJob, lay_out
from separations.planes.line_work import LineWork, line_work, measure_lines
from separations.proof.colour_reach import colour_reach
from separations.proof.proof_tones import tones_with_lines
from separations.proof.run_pictures import (
    DOT_CROP_MM,
    DotCrop,
    busiest_place,
    page_pictures,
    png_bytes,
    reach_map,
)
from separations.proof.soft_proof import LIGHTER, ProofModels, board_proof, dot_proof
from separations.report.operator_sheet import operator_pdf
from separations.report.outcome import ColourReach, Outcome
from separations.report.report_figures import report_json
from separations.report.report_page import report_html

#: Resolution of the soft proof, and of the quick separation behind `check_job`.
PROOF_PPI = 100.0
_CHECK_PPI = 72.0

Say = Callable[[str], None]


def _silent(_stage: str) -> None:
    return None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Prepared:
    """A job on its board, separated and checked; ready for films, proof or ink."""

    laid: LaidOutJob
    separation: ArtSeparation
    sheets: tuple[LineWork, ...]
    submission: Submission
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Drawn:
    """The pictures of a job, and how near its inks come to the photograph."""

    board: NDArray[np.uint8]
    crop: DotCrop
    reach: ColourReach | None


def check_job(job_path: Path) -> Outcome:
    """Say what would go wrong with a job; nothing is written.

    Raises
    ------
    InputProblem
        When the job, its outline or its art cannot be used.
    """
    prepared = _prepare(job_path, _silent, finest_ppi=_CHECK_PPI)
    return _outcome(prepared, FilmSet(films=(), estimates=()), withheld=False)


def make_proof(job_path: Path, out: Path, *, say: Say = _silent) -> Outcome:
    """Draw the job's soft proof into a folder.

    Parameters
    ----------
    job_path : Path
        The job file.
    out : Path
        The folder, which appears whole or not at all.
    say : callable
        Told what is being done.

    Raises
    ------
    InputProblem
        When the job, its outline or its art cannot be used, or the folder cannot be written.
    """
    with whole_folder(out) as folder:
        prepared = _prepare(job_path, say, finest_ppi=PROOF_PPI)
        drawn = _drawn(prepared, say)
        _write_pictures(folder, drawn)
        return _outcome(prepared, FilmSet(films=(), estimates=()), withheld=False,
                        reach=drawn.reach)


def make_films(
    job_path: Path, out: Path, *, despite_stops: bool = False, say: Say = _silent
) -> Outcome:
    """Check the job and make its films; with a stop finding nothing is written.

    Parameters and faults are those of `make_proof`; ``despite_stops`` makes the films all the
    same.
    """
    prepared = _prepare(job_path, say)
    if has_stop(prepared.findings) and not despite_stops:
        return _outcome(prepared, FilmSet(films=(), estimates=()), withheld=True)
    with whole_folder(out) as folder:
        made = write_films(prepared.laid, prepared.separation, prepared.sheets, folder, say)
        return _outcome(prepared, made, withheld=False)


def estimate_job_ink(job_path: Path, out: Path, *, say: Say = _silent) -> Outcome:
    """Count the dots of the job's films and write ink.csv. Faults as in `make_proof`."""
    with whole_folder(out) as folder:
        prepared = _prepare(job_path, say)
        counted = count_films(prepared.laid, prepared.separation, prepared.sheets, say)
        outcome = _outcome(prepared, counted, withheld=False)
        _write_ink(folder, outcome)
        return outcome


def run_job(
    job_path: Path, out: Path, *, despite_stops: bool = False, say: Say = _silent
) -> Outcome:
    """Do all of it: films, proof, report, ink and the operator's sheet, in one folder.

    With a stop finding the report is made and the films are withheld, unless ``despite_stops``.
    Further parameters and faults are those of `make_proof`.
    """
    with whole_folder(out) as folder:
        prepared = _prepare(job_path, say)
        withheld = has_stop(prepared.findings) and not despite_stops
        parts = prepared.laid, prepared.separation, prepared.sheets
        made = count_films(*parts, say) if withheld else write_films(*parts, folder, say)
        drawn = _drawn(prepared, say)
        outcome = _outcome(prepared, made, withheld=withheld, reach=drawn.reach)
        say("Writing the report")
        _write_pictures(folder, drawn)
        _write_ink(folder, outcome)
        pictures = page_pictures(drawn.board, drawn.crop, _reach_picture(prepared),
                                 prepared.laid.job.title)
        (folder / "report.html").write_text(report_html(outcome, pictures), encoding="utf-8")
        (folder / "report.json").write_text(report_json(outcome), encoding="utf-8")
        (folder / "operator.pdf").write_bytes(operator_pdf(outcome))
        return outcome


def _prepare(job_path: Path, say: Say, finest_ppi: float | None = None) -> _Prepared:
    job = read_job(job_path)
    laid = lay_out(job)
    say("Separating the art")
    separation = separate_photos(laid, finest_ppi=finest_ppi)
    sheets = line_work(laid) if finest_ppi is None else line_work(laid, finest_ppi=finest_ppi)
    sheet = job_sheet(laid)
    submission = Submission(
        job=job, outline=laid.outline, area=laid.area, art=laid.art,
        film_length_mm=sheet.page_length_mm, film_width_mm=sheet.page_width_mm,
        tones=measure_tones(laid, separation),
        lines=measure_lines(laid, sheets),
        profiled=tuple(ink.name for ink in job.photo_inks if profiled_curve(job, ink)))
    return _Prepared(laid=laid, separation=separation, sheets=sheets, submission=submission,
                     findings=run_checks(submission))


def _drawn(prepared: _Prepared, say: Say) -> _Drawn:
    say("Drawing the proof")
    laid, job = prepared.laid, prepared.laid.job
    grid = grid_over(laid.area.printed.bounds, MM_PER_INCH / PROOF_PPI)
    tones = tones_with_lines(prepared.separation, prepared.sheets, laid, grid)
    inside, safe = (coverage_mask(area, grid) > 0
                    for area in (laid.area.printed, laid.area.safe))
    wood = whole_model(job)
    models = ProofModels(
        wood=wood, estimate=whole_model(job, readings=False) if job.press_profile else wood,
        lighter_wood=whole_model(job, LIGHTER, readings=False))
    return _Drawn(
        board=board_proof(tones, grid, models, laid.area.trim, job.wood.figure_seed),
        crop=_crop(prepared, busiest_place(tones, grid, safe)),
        reach=colour_reach(laid, prepared.separation, tones, inside))


def _reach_picture(prepared: _Prepared) -> NDArray[np.uint8] | None:
    separation = prepared.separation
    if not separation.lattices or separation.missed.max() < OUT_OF_REACH:
        return None
    inside = coverage_mask(prepared.laid.area.printed, separation.missed_grid) > 0
    return reach_map(separation.missed, inside)


def _crop(prepared: _Prepared, centre_mm: tuple[float, float]) -> DotCrop:
    """The films at dot level round a place on the board."""
    film = job_sheet(prepared.laid).art_grid
    columns, rows = (min(round(side / film.pixel_mm), most) for side, most in
                     zip(DOT_CROP_MM, (film.columns, film.rows), strict=True))
    row = min(max(round(film.row_of(centre_mm[0])) - rows // 2, 0), film.rows - rows)
    column = min(max(round(film.column_of(centre_mm[1])) - columns // 2, 0),
                 film.columns - columns)
    contents = film_contents(prepared.laid, prepared.separation, prepared.sheets, film)
    bits = np.stack([dots_in(content, row, row + rows, column, column + columns)
                     for _, content in contents])
    return DotCrop(srgb=dot_proof(bits, whole_model(prepared.laid.job)), centre_mm=centre_mm)


def _outcome(
    prepared: _Prepared, made: FilmSet, *, withheld: bool, reach: ColourReach | None = None
) -> Outcome:
    return Outcome(submission=prepared.submission, findings=prepared.findings, films=made.films,
                   withheld=withheld, estimates=made.estimates, colour=reach,
                   remarks=prepared.laid.remarks)


def _write_pictures(folder: Path, drawn: _Drawn) -> None:
    (folder / "proof.png").write_bytes(png_bytes(drawn.board, ppi=PROOF_PPI))
    (folder / "proof-dots.png").write_bytes(png_bytes(drawn.crop.srgb))


def _write_ink(folder: Path, outcome: Outcome) -> None:
    job = outcome.submission.job
    orders = [number for number, _ in enumerate(job.ink, 1)]
    (folder / "ink.csv").write_text(ink_csv(outcome.estimates, orders, job.boards),
                                    encoding="utf-8", newline="")
