"""Films to find a stencil's exposure by steps: rows of tones, uncovered one after another."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from separations.films.film_label import FilmLabel
from separations.films.film_names import film_name
from separations.films.read_back import make_film
from separations.runtime.progress import Say
from separations.uses.calibration.patches import ROW_LETTERS, Patch
from separations.uses.calibration.wedge_films import (
    LETTERING_MM,
    sheet_lettering,
    wedge_content,
    wedge_sheet,
)

#: Film tones of each row, in percent: clear film first, where the stencil is to hold.
ROW_PERCENT = (0, 1, 2, 3, 5, 10, 20, 50, 80, 90, 95, 97, 98, 99, 100)
#: Rows, half a stop apart: four stops in all.
ROWS = 9


def inks_to_expose(job: Job) -> tuple[InkTable, ...]:
    """One ink for each of the job's cloths: the first with dots, else the first."""
    found: dict[object, InkTable] = {}
    for ink in sorted(job.ink, key=lambda one: one.prints == "line work"):
        found.setdefault(job.mesh_of(ink), ink)
    return tuple(ink for ink in job.ink if ink in found.values())


def row_names() -> tuple[str, ...]:
    """The rows' letters, as on the films."""
    return tuple(ROW_LETTERS[:ROWS])


def write_exposure_films(job: Job, folder: Path, say: Say) -> Iterator[tuple[InkTable, str]]:
    """Write a film for each of the job's cloths; gives its ink and the film's file name.

    Raises
    ------
    InputProblem
        When film or frame are too small.
    FilmReadBackError
        When a film does not hold the dots that were screened.
    """
    inks = inks_to_expose(job)
    for number, ink in enumerate(inks, 1):
        say(f"Exposure film {number} of {len(inks)}: {ink.name}")
        place = job.ink.index(ink)
        patches = tuple(
            Patch(row=row, column=column, kind="wedge",
                  percent=tuple(float(percent) if k == place else 0.0
                                for k in range(len(job.ink))))
            for row in range(ROWS) for column, percent in enumerate(ROW_PERCENT))
        laid = wedge_sheet(job, patches, LETTERING_MM)
        content = wedge_content(job, ink, laid, (sheet_lettering(laid),))
        mesh = ink.mesh or job.mesh
        label = FilmLabel(
            job=f"{job.title}: exposure by steps",
            board=f"rows A to {row_names()[-1]}, A the shortest; % {ROW_PERCENT[0]} to "
                  f"{ROW_PERCENT[-1]} from the left", ink=ink.name,
            mesh=f"{mesh.count.written}, thread {mesh.thread.written}",
            ruling=job.ruling_of(ink).written, film_number=number, film_count=len(inks),
            date=job.date.isoformat())
        name = f"exposure-{film_name(number, ink.name)}.pdf"
        make_film(folder / name, content, laid.sheet, label, coding=job.film.coding)
        yield ink, name
