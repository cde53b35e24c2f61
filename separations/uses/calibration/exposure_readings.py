"""What was seen on stencils exposed by steps, as a table, and the times that it tells."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.press.stencil_exposure import (
    STEP_DENSITY,
    STEPS,
    ExposedRow,
    ExposureTime,
    exposure_of_rows,
    step_times,
)
from separations.colour.measured_files.reading_tables import number_in, read_table
from separations.colour.press_profile import PressExposure
from separations.uses.calibration.exposure_films import Cloth, cloths_to_expose, row_names

FILM, ROW, SECONDS, FURTHER, DENSITY = ("film for", "row", "seconds", "expose further s",
                                        "less density")
HOLDS, DOT, STEP, HOURS = "solid holds", "smallest dot %", "solid step", "lamp hours"
_READ = (FILM, ROW, SECONDS, HOLDS)
_HEADS = (FILM, ROW, SECONDS, FURTHER, DENSITY, HOLDS, DOT, STEP, HOURS)
_YES_OR_NO = {"yes": True, "no": False}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    """A line of the table: its number in the file, its cloth, and what was seen."""

    number: int
    cloth: str
    row: ExposedRow
    hours: float | None


def exposure_csv(cloths: Sequence[Cloth], middle_s: float) -> str:
    """The table to expose by and to fill in, half a stop from row to row.

    Parameters
    ----------
    cloths : sequence of Cloth
        One for each film.
    middle_s : float
        The middle row's time (s).
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(_HEADS)
    names = row_names()
    times = [round(seconds, 1) for seconds in step_times(middle_s, len(names))]
    for cloth in cloths:
        for place, (name, seconds) in enumerate(zip(names, times, strict=True)):
            further = seconds - (times[place - 1] if place else 0.0)
            writer.writerow([cloth.told, name, f"{seconds:.1f}", f"{further:.1f}",
                             f"{(len(names) - 1 - place) * STEP_DENSITY:.2f}", "", "", "", ""])
    return text.getvalue()


def read_exposures(path: Path, job: Job) -> tuple[PressExposure, ...]:
    """Read the table as filled in; the time for each cloth.

    Raises
    ------
    InputProblem
        When the table cannot be read, a figure is none, no solid holds, or one holds where a
        longer exposed one does not.
    """
    cloths = {cloth.told: cloth for cloth in cloths_to_expose(job)}
    lines = [_line(path, number, cells, cloths) for number, cells in read_table(path)]
    found = []
    for name in dict.fromkeys(line.cloth for line in lines if line is not None):
        mesh = job.mesh_of(cloths[name].ink)
        own = sorted((line for line in lines if line is not None and line.cloth == name),
                     key=lambda line: line.row.seconds)
        time = _time(path, own)
        at = max((line.row for line in own if line.row.seconds <= time.best_s * 1.001),
                 key=lambda row: row.seconds, default=own[0].row)
        found.append(PressExposure(
            threads_per_cm=round(mesh.threads_per_cm, 3), thread_um=round(mesh.thread_um, 3),
            low_s=round(time.low_s, 1), best_s=round(time.best_s, 1),
            high_s=round(time.high_s, 1), date=job.date, smallest_dot=at.smallest_dot,
            lamp_hours=max((line.hours for line in own if line.hours is not None), default=None)))
    if not found:
        raise InputProblem(where=str(path), found=f"no '{HOLDS}' filled in",
                           would_do="yes or no for each row that was exposed")
    return tuple(found)


def _time(path: Path, lines: Sequence[_Line]) -> ExposureTime:
    try:
        return exposure_of_rows([line.row for line in lines])
    except ValueError as fault:
        cloth = lines[0].cloth
        if not any(line.row.solid_holds for line in lines):
            raise InputProblem(
                where=f"{path}: {cloth}", found="no row whose solid holds",
                would_do="the film exposed again with twice the middle time") from None
        raise InputProblem(where=f"{path}: {cloth}", found=str(fault),
                           would_do="the film exposed again, or the slip mended,") from None


def _line(path: Path, number: int, cells: dict[str, str],
          cloths: dict[str, Cloth]) -> _Line | None:
    where = f"{path}: line {number}"
    missing = next((head for head in _READ if head not in cells), None)
    if missing is not None:
        raise InputProblem(where=where, found=f"no '{missing}'",
                           would_do="the headings of the table that was written")
    if not cells[HOLDS]:
        return None
    if cells[FILM] not in cloths:
        raise InputProblem(where=f"{where}, {FILM}", found=f"'{cells[FILM]}'",
                           would_do=" or ".join(f"'{name}'" for name in cloths))
    holds = _YES_OR_NO.get(cells[HOLDS].lower())
    if holds is None:
        raise InputProblem(where=f"{where}, {HOLDS}", found=f"'{cells[HOLDS]}'",
                           would_do="yes or no")
    dot, step, hours = (
        number_in(cells[head], f"{where}, {head}", least, most, what) if cells.get(head) else None
        for head, least, most, what in ((DOT, 0, 100, "a film tone in percent"),
                                        (STEP, 1, STEPS, "the last solid step"),
                                        (HOURS, 0, 1_000_000, "hours")))
    return _Line(number=number, cloth=cells[FILM], hours=hours, row=ExposedRow(
        seconds=number_in(cells[SECONDS], f"{where}, {SECONDS}", 0.1, 36_000, "seconds"),
        solid_holds=holds, smallest_dot=None if dot is None else dot / 100,
        solid_step=None if step is None else round(step)))
