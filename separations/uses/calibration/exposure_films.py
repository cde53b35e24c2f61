"""Films to find a stencil's exposure by steps: rows of tones, uncovered one after another."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from preflight.findings import listed
from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from preflight.press.mesh import Mesh
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Cloth:
    """One of the job's cloths.

    Attributes
    ----------
    name : str
        Threads and thread, such as ``120-34``.
    ink : InkTable
        The ink whose dots its film shows: the first with dots, else the first.
    inks : tuple of str
        All inks that are printed through it.
    """

    name: str
    ink: InkTable
    inks: tuple[str, ...]

    @property
    def told(self) -> str:
        """How the table names it: no spreadsheet takes that for a date."""
        return f"mesh {self.name}"


def cloths_to_expose(job: Job) -> tuple[Cloth, ...]:
    """The job's cloths, in the order in which its inks first need them."""
    found: dict[Mesh, list[InkTable]] = {}
    for ink in job.ink:
        found.setdefault(job.mesh_of(ink), []).append(ink)
    return tuple(Cloth(
        name=f"{mesh.threads_per_cm:.4g}-{mesh.thread_um:.4g}",
        ink=min(inks, key=lambda one: one.prints == "line work"),
        inks=tuple(ink.name for ink in inks)) for mesh, inks in found.items())


def row_names() -> tuple[str, ...]:
    """The rows' letters, as on the films."""
    return tuple(ROW_LETTERS[:ROWS])


def write_exposure_films(job: Job, folder: Path, say: Say) -> Iterator[tuple[Cloth, str]]:
    """Write a film for each of the job's cloths; gives the cloth and the film's file name.

    Raises
    ------
    InputProblem
        When film or frame are too small.
    FilmReadBackError
        When a film does not hold the dots that were screened.
    """
    cloths = cloths_to_expose(job)
    for number, cloth in enumerate(cloths, 1):
        say(f"Exposure film {number} of {len(cloths)}: {cloth.told}")
        ink = cloth.ink
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
                  f"{ROW_PERCENT[-1]} from the left",
            ink=f"mesh {cloth.name}, for {listed(cloth.inks)}", counts="a film for each mesh",
            mesh=f"{mesh.count.written}, thread {mesh.thread.written}",
            ruling=job.ruling_of(ink).written, film_number=number, film_count=len(cloths),
            date=job.date.isoformat())
        name = f"exposure-{film_name(number, cloth.name)}.pdf"
        make_film(folder / name, content, laid.sheet, label, coding=job.film.coding)
        yield cloth, name
