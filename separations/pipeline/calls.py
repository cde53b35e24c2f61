"""The typed calls that do what the command does, each through a session on the job."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from typing import Any

from preflight.files.file_contents import FileContents
from preflight.findings import count_stops, has_stop
from preflight.job_file.job import Job
from separations.colour.light_changes import printed_spectra
from separations.colour.lights import Light
from separations.films.film_set import FilmSet, count_films, write_films
from separations.halftone.screening import Screening
from separations.pipeline.fact_stages import FINDINGS, SUBMISSION
from separations.pipeline.job_folder import job_folder
from separations.pipeline.job_pictures import (
    board_views,
    draw,
    reach_pictures,
    varnish_pictures,
    write_pictures,
)
from separations.pipeline.kept_photos import KeptPhotos, keep_for_one_look
from separations.pipeline.kept_results import KeptResults
from separations.pipeline.light_pictures import write_in_lights
from separations.pipeline.made_of import made_of, write_made_of
from separations.pipeline.prepared_job import PreparedJob, prepared
from separations.pipeline.session import Session
from separations.pipeline.stages import LAID_OUT
from separations.proof.colour_reach import ColourReach
from separations.proof.run_pictures import png_bytes
from separations.proof.shown_pictures import BoardViews, ReportPicture
from separations.report.damage_pictures import damage_pictures
from separations.report.film_words import film_tables
from separations.report.further_tables import lettering_tables, limits_table, resting_table
from separations.report.hold_map import hold_picture, hold_pictures
from separations.report.moire_pictures import moire_pictures
from separations.report.outcome import Outcome
from separations.report.pressed_board import (
    pressed_board_pictures,
    pressed_board_tables,
)
from separations.report.report_files import write_ink, write_reports
from separations.report.true_pixels_map import true_pixel_pictures
from separations.report.varnish_table import varnish_tables
from separations.runtime.free_memory import give_back_free_memory
from separations.runtime.progress import Progress, Say, silent
from separations.stock.shelf import job_orders, job_shelf

#: Resolution of the quick look behind `check_job`, and of the soft proof.
CHECK_PPI, PROOF_PPI = 50.0, 100.0

JobOrPath = Job | Path


def quick_session(job: JobOrPath, ppi: float = CHECK_PPI) -> Session:
    """A session for looks at a job: coarse enough to be quick, as `check_job` and the proof are.

    Parameters
    ----------
    job : Job or Path
        The job, or its file.
    ppi : float
        Resolution of its proof; photographs are worked as fine as that, and as a check does at
        least.

    Raises
    ------
    InputProblem
        When the job cannot be used.
    """
    return Session(job, finest_ppi=max(ppi, CHECK_PPI), proof_ppi=ppi)


def check_job(job: JobOrPath) -> Outcome:
    """Say what would go wrong with a job; nothing is written.

    Parameters
    ----------
    job : Job or Path
        The job, or its file.

    Raises
    ------
    InputProblem
        When the job, its outline or its art cannot be used.
    """
    return checked(quick_session(job))


def checked(session: Session) -> Outcome:
    """What a session's job would go wrong with; faults as in `check_job`."""
    submission, findings, laid = session.all_of(SUBMISSION, FINDINGS, LAID_OUT)
    return Outcome(submission=submission, findings=findings, films=(), withheld=False,
                   estimates=(), colour=None, remarks=laid.remarks, revision=laid.revision)


def make_proof(job: JobOrPath, out: Path, *, lights: Sequence[Light] = (),
               say: Say = silent) -> Outcome:
    """Draw the job's soft proof into a folder.

    Parameters
    ----------
    job : Job or Path
        The job, or its file.
    out : Path
        The folder, which appears whole or not at all.
    lights : sequence of Light
        Further lights to draw it under, for which wood and inks need spectra.
    say : callable
        Told what is being done.

    Raises
    ------
    InputProblem
        When the job, its outline or its art cannot be used, spectra are missing, or the folder
        cannot be written.
    """
    session = quick_session(job, PROOF_PPI)
    if lights:
        printed_spectra(session.job)  # what is missing is told before any work
    with job_folder(session.job, out) as folder:
        ready = _prepared(session, say)
        drawn = draw(session, ready, say)
        write_pictures(folder, drawn)
        made = _outcome(ready, _NO_FILMS, withheld=False, reach=drawn.reach)
        if not lights:
            return made
        return replace(made, light_changes=write_in_lights(session, lights, folder))


def make_films(
    job: JobOrPath, out: Path, *, despite_stops: bool = False, say: Say = silent,
    progress: Progress | None = None,
) -> Outcome:
    """Check the job and make its films; with a stop finding nothing is written.

    Parameters and faults are those of `make_proof`; ``despite_stops`` makes the films all the
    same, and ``progress`` is told of (pixels done, pixels in all).
    """
    session = fine_session(job)
    ready = _prepared(session, say)
    if has_stop(ready.findings) and not despite_stops:
        return _outcome(ready, _NO_FILMS, withheld=True)
    with job_folder(session.job, out) as folder:
        made = write_films(ready.films(), folder, say, progress=progress,
                           despite_stops=count_stops(ready.findings))
        return _outcome(ready, made, withheld=False)


def estimate_job_ink(job: JobOrPath, out: Path, *, say: Say = silent) -> Outcome:
    """Count the dots of the job's films and write ink.csv. Faults as in `make_proof`."""
    session = fine_session(job)
    job_shelf(session.job)  # one that cannot be read is told before any work
    with job_folder(session.job, out) as folder:
        ready = _prepared(session, say)
        outcome = _outcome(ready, count_films(ready.films(), say), withheld=False)
        write_ink(folder, outcome)
        return outcome


def run_job(
    job: JobOrPath, out: Path, *, despite_stops: bool = False, say: Say = silent,
    progress: Progress | None = None, session: Session | None = None,
) -> Outcome:
    """Do all of it: films, proof, report, ink and the operator's sheet, in one folder.

    With a stop finding the report is made and the films are withheld, unless ``despite_stops``;
    ``progress`` is told of (pixels done, pixels in all) of the films; ``session`` is one on this
    job that has begun already. Further parameters and faults are those of `make_proof`.
    """
    session = session or fine_session(job)
    job_shelf(session.job)  # one that cannot be read is told before any work
    with job_folder(session.job, out) as folder:
        source = _made_of(session, despite_stops=despite_stops)
        ready = _prepared(session, say)
        withheld = has_stop(ready.findings) and not despite_stops
        films = ready.films()
        with ThreadPoolExecutor(1) as pool:  # drawn while one core waits for the other
            drawing = pool.submit(_draw_and_write, session, ready, films.screenings, folder)
            made = (count_films(films, say) if withheld else
                    write_films(films, folder, say, progress=progress,
                                despite_stops=count_stops(ready.findings)))
            views, reach, pictures = drawing.result()
        outcome = replace(_outcome(ready, made, withheld=withheld, reach=reach),
                          extra_pictures=pictures,
                          extra_tables=(*film_tables(ready.submission, made.films),
                                        *pressed_board_tables(ready.submission),
                                        *varnish_tables(session.job),
                                        *lettering_tables(ready.submission),
                                        resting_table(ready.submission), limits_table()))
        say("Writing the report")
        write_reports(folder, outcome, views)
        if source is not None and source == _made_of(session, despite_stops=despite_stops):
            write_made_of(folder, source)  # else a file changed meanwhile: made again next time
        return outcome


_NO_FILMS = FilmSet(films=(), estimates=())


def fine_session(job: JobOrPath, keep: KeptResults | None = None,
                 contents: FileContents | None = None) -> Session:
    """A session for one look, for films: photographs are worked as fine as these have use for."""
    return Session(job, keep=keep or keep_for_one_look(), contents=contents,
                   proof_ppi=PROOF_PPI)


def _made_of(session: Session, *, despite_stops: bool) -> dict[str, Any] | None:
    """What decides a run's output; None of a job that is no file."""
    if not session.job.path.is_file():
        return None
    return made_of(session.job, FileContents(), despite_stops=despite_stops)


def _prepared(session: Session, say: Say) -> PreparedJob:
    """The job made ready; what only led to it is not kept, since films need the room."""
    say("Separating the art")
    ready = prepared(session)
    KeptPhotos(session.keep).forget()
    give_back_free_memory()
    return ready


def _draw_and_write(
    session: Session, ready: PreparedJob, screenings: tuple[Screening, ...], folder: Path,
) -> tuple[BoardViews, ColourReach | None, tuple[ReportPicture, ...]]:
    """The job's pictures, drawn and written; the report's are all that is kept of them."""
    drawn = draw(session, ready, silent, screenings)
    write_pictures(folder, drawn)
    views, reach = board_views(ready, drawn), drawn.reach
    varnished = varnish_pictures(session.job, drawn)
    del drawn
    held = hold_picture(ready.hold, ready.laid, ready.separation)
    if held is not None:
        (folder / "mesh-hold.png").write_bytes(png_bytes(held))
    return views, reach, (
        *damage_pictures(ready.submission), *true_pixel_pictures(ready.submission),
        *reach_pictures(ready), *varnished,
        *hold_pictures(held), *pressed_board_pictures(ready.submission),
        *moire_pictures(ready.laid, ready.separation.model))


def _outcome(
    ready: PreparedJob, made: FilmSet, *, withheld: bool, reach: ColourReach | None = None
) -> Outcome:
    return Outcome(submission=ready.submission, findings=ready.findings, films=made.films,
                   withheld=withheld, estimates=made.estimates, colour=reach,
                   orders=job_orders(ready.laid.job, made.estimates) if made.estimates else (),
                   remarks=ready.laid.remarks, revision=ready.laid.revision)
