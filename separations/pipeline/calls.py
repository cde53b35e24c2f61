"""The order of the steps, and the typed calls that do what the command does."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

from preflight.art.kept_pixels import KeptPixels
from preflight.findings import has_stop
from preflight.job_file.job_tables import InkTable
from separations.films.film_set import (
    FilmSet,
    count_films,
    film_screenings,
    write_films,
)
from separations.halftone.screening import Screening
from separations.ink_need.ink_table import ink_csv
from separations.pipeline.job_folder import job_folder
from separations.pipeline.job_pictures import (
    PROOF_PPI,
    board_views,
    draw,
    reach_pictures,
    write_pictures,
)
from separations.pipeline.prepared_job import PreparedJob, Say, prepare, silent
from separations.proof.colour_reach import ColourReach
from separations.proof.run_pictures import png_bytes
from separations.proof.shown_pictures import BoardViews, ReportPicture
from separations.report.film_words import film_tables
from separations.report.further_tables import lettering_tables, limits_table
from separations.report.hold_map import hold_picture, hold_pictures
from separations.report.moire_pictures import moire_pictures
from separations.report.operator_sheet import operator_pdf
from separations.report.outcome import Outcome
from separations.report.pressed_board import (
    pressed_board_pictures,
    pressed_board_tables,
)
from separations.report.report_figures import report_json
from separations.report.report_page import report_html
from separations.report.true_pixels_map import true_pixel_pictures
from separations.runtime.progress import Progress

#: Resolution of the quick separation behind `check_job`.
_CHECK_PPI = 72.0

def check_job(job_path: Path) -> Outcome:
    """Say what would go wrong with a job; nothing is written.

    Raises
    ------
    InputProblem
        When the job, its outline or its art cannot be used.
    """
    prepared = prepare(job_path, silent, finest_ppi=_CHECK_PPI)
    return _outcome(prepared, FilmSet(films=(), estimates=()), withheld=False)


def make_proof(job_path: Path, out: Path, *, say: Say = silent) -> Outcome:
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
    with job_folder(job_path, out) as folder:
        prepared = prepare(job_path, say, finest_ppi=PROOF_PPI)
        drawn = draw(prepared, say)
        write_pictures(folder, drawn)
        return _outcome(prepared, FilmSet(films=(), estimates=()), withheld=False,
                        reach=drawn.reach)


def make_films(
    job_path: Path, out: Path, *, despite_stops: bool = False, say: Say = silent,
    progress: Progress | None = None,
) -> Outcome:
    """Check the job and make its films; with a stop finding nothing is written.

    Parameters and faults are those of `make_proof`; ``despite_stops`` makes the films all the
    same, and ``progress`` is told of (pixels done, pixels in all).
    """
    prepared = prepare(job_path, say)
    if has_stop(prepared.findings) and not despite_stops:
        return _outcome(prepared, FilmSet(films=(), estimates=()), withheld=True)
    with job_folder(job_path, out) as folder:
        made = write_films(prepared.laid, prepared.separation, prepared.overlays, folder, say,
                           progress=progress)
        return _outcome(prepared, made, withheld=False)


def estimate_job_ink(job_path: Path, out: Path, *, say: Say = silent) -> Outcome:
    """Count the dots of the job's films and write ink.csv. Faults as in `make_proof`."""
    with job_folder(job_path, out) as folder:
        prepared = prepare(job_path, say)
        counted = count_films(prepared.laid, prepared.separation, prepared.overlays, say)
        outcome = _outcome(prepared, counted, withheld=False)
        _write_ink(folder, outcome)
        return outcome


def run_job(
    job_path: Path, out: Path, *, despite_stops: bool = False, say: Say = silent,
    progress: Progress | None = None, load: KeptPixels | None = None,
) -> Outcome:
    """Do all of it: films, proof, report, ink and the operator's sheet, in one folder.

    With a stop finding the report is made and the films are withheld, unless ``despite_stops``;
    ``progress`` is told of (pixels done, pixels in all) of the films, ``load`` keeps the
    photographs. Further parameters and faults are those of `make_proof`.
    """
    with job_folder(job_path, out) as folder:
        prepared = prepare(job_path, say, load=load)
        withheld = has_stop(prepared.findings) and not despite_stops
        parts = prepared.laid, prepared.separation, prepared.overlays
        screenings = film_screenings(*parts)
        with ThreadPoolExecutor(1) as pool:  # drawn while one core waits for the other
            drawing = pool.submit(_draw_and_write, prepared, screenings, folder)
            made = (count_films(*parts, say) if withheld else
                    write_films(*parts, folder, say, screenings=screenings,
                                progress=progress))
            views, reach, pictures = drawing.result()
        outcome = replace(_outcome(prepared, made, withheld=withheld, reach=reach),
                          extra_pictures=pictures,
                          extra_tables=(*film_tables(prepared.submission, made.films),
                                        *pressed_board_tables(prepared.submission),
                                        *lettering_tables(prepared.submission),
                                        limits_table()))
        say("Writing the report")
        _write_ink(folder, outcome)
        (folder / "report.html").write_text(report_html(outcome, views), encoding="utf-8")
        (folder / "report.json").write_text(report_json(outcome, views), encoding="utf-8")
        (folder / "operator.pdf").write_bytes(operator_pdf(outcome, views.proof.data))
        return outcome


def _draw_and_write(
    prepared: PreparedJob, screenings: tuple[tuple[InkTable, Screening], ...], folder: Path,
) -> tuple[BoardViews, ColourReach | None, tuple[ReportPicture, ...]]:
    """The job's pictures, drawn and written; the report's are all that is kept of them."""
    drawn = draw(prepared, silent, screenings)
    write_pictures(folder, drawn)
    views, reach = board_views(prepared, drawn), drawn.reach
    del drawn
    held = hold_picture(prepared.hold, prepared.laid, prepared.separation)
    if held is not None:
        (folder / "mesh-hold.png").write_bytes(png_bytes(held))
    return views, reach, (
        *true_pixel_pictures(prepared.submission), *reach_pictures(prepared),
        *hold_pictures(held), *pressed_board_pictures(prepared.submission),
        *moire_pictures(prepared.laid, prepared.separation.model))


def _outcome(
    prepared: PreparedJob, made: FilmSet, *, withheld: bool, reach: ColourReach | None = None
) -> Outcome:
    return Outcome(submission=prepared.submission, findings=prepared.findings, films=made.films,
                   withheld=withheld, estimates=made.estimates, colour=reach,
                   remarks=prepared.laid.remarks)


def _write_ink(folder: Path, outcome: Outcome) -> None:
    job = outcome.submission.job
    orders = [number for number, _ in enumerate(job.ink, 1)]
    (folder / "ink.csv").write_text(ink_csv(outcome.estimates, orders, job.boards),
                                    encoding="utf-8", newline="")
