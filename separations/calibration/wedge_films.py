"""The test sheet's films: one an ink, written and read back as the job's own films are."""

from __future__ import annotations

import re
from pathlib import Path

from preflight.job_file.job import Job
from separations.calibration.patches import patches_csv, sheet_patches
from separations.calibration.wedge_sheet import sheet_lettering, wedge_content, wedge_sheet
from separations.films.film_label import FilmLabel
from separations.films.read_back import make_film
from separations.inks.job_inks import whole_model
from separations.job_films.film_set import Say

PATCHES_FILE = "patches.csv"


def write_wedge(job: Job, folder: Path, say: Say) -> tuple[str, ...]:
    """Write the films and the list of patches; returns the films' file names in print order.

    Raises
    ------
    InputProblem
        When the job has too many inks, or film or frame are too small.
    FilmReadBackError
        When a film does not hold the dots that were screened.
    """
    model = whole_model(job)
    darkest = min(range(len(job.ink)), key=lambda ink: float(model.primaries_lab[1 << ink][0]))
    laid = wedge_sheet(job, sheet_patches(job))
    lettering = sheet_lettering(laid)
    names = []
    for order, ink in enumerate(job.ink, 1):
        say(f"Test film {order} of {len(job.ink)}: {ink.name}")
        content = wedge_content(job, ink, laid, lettering if order - 1 == darkest else None)
        name = f"wedge-{order:02d}-{_plain(ink.name)}.pdf"
        mesh = ink.mesh or job.mesh
        label = FilmLabel(
            job=f"{job.title}: test sheet", board="no tone curve, all dots kept", ink=ink.name,
            mesh=f"{mesh.count.written}, thread {mesh.thread.written}",
            ruling=job.ruling_of(ink).written, film_number=order, film_count=len(job.ink),
            date=job.date.isoformat())
        make_film(folder / name, content, laid.sheet, label, coding=job.film.coding)
        names.append(name)
    # with a mark of its encoding, so that a spreadsheet reads the inks' names as they are
    (folder / PATCHES_FILE).write_text(patches_csv(job, laid.patches), encoding="utf-8-sig",
                                       newline="")
    return tuple(names)


def _plain(ink: str) -> str:
    """An ink's name as part of a file name."""
    return re.sub(r"[^A-Za-z0-9]+", "-", ink).strip("-")[:40] or "ink"
