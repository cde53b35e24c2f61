"""Readings of our own sheet, or of any other whose file tells the film tones of each patch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.nouns import counted
from separations.colour.measured_files.cgats_text import is_device_field
from separations.colour.measured_files.patch_rows import PATCH_COLUMN, Rows
from separations.colour.measured_files.reading_tables import measured_rows, number_in
from separations.uses.calibration.patches import Patch, PatchKind, sheet_patches
from separations.uses.calibration.readings import Readings, readings_in

#: Inks of CMYK fields, as a job names their colours.
_PROCESS = {"CMYK_C": "cyan", "CMYK_M": "magenta", "CMYK_Y": "yellow", "CMYK_K": "black"}
#: Film tones of a file and of our sheet are the same within this (percent).
_SAME_PERCENT = 0.6


def read_sheet(path: Path, job: Job) -> tuple[tuple[Patch, ...], Readings]:
    """Patches and readings of a measured sheet: ours by its patches' names, others by film tones.

    Parameters
    ----------
    path : Path
        The filled list, or what a measuring program saved.
    job : Job
        The job whose inks were printed.

    Raises
    ------
    InputProblem
        When the file cannot be read; as `separations.uses.calibration.readings.readings_in`; when
        film tones are of other inks than the job's, or of other patches than the sheet's.
    """
    table, condition = measured_rows(path)
    sheet = sheet_patches(job)
    names = {patch.name: patch for patch in sheet}
    columns = _columns(table, job, path)
    ours = any(row.get(PATCH_COLUMN, "").upper() in names for _, row in table)
    if columns and not ours:
        listed = _listed_patches(table, columns, job, path)
        return _as_sheet(listed, readings_in(table, condition, path, job, listed), job, path)
    for place, row in table:
        patch = names.get(row.get(PATCH_COLUMN, "").upper())
        if columns and patch is not None:
            _check(patch, _percents(row, columns, job, f"{path}: {place}"),
                   f"{path}: {place}, patch {patch.name}", job)
    return sheet, readings_in(table, condition, path, job, sheet)


def _columns(table: Rows, job: Job, path: Path) -> dict[str, int]:
    """Which ink of the job each field of film tones belongs to."""
    told = [field for field in (table[0][1] if table else ()) if is_device_field(field)]
    found = {}
    for field in told:
        count, _, number = field.partition("CLR_")
        if number:
            if int(count) != len(job.ink) or not 1 <= int(number) <= len(job.ink):
                raise InputProblem(where=f"{path}: {field}",
                                   found=f"film tones of {counted(int(count), 'ink')}",
                                   would_do=f"those of the job's {counted(len(job.ink), 'ink')}")
            found[field] = int(number) - 1
            continue
        places = [place for place, ink in enumerate(job.ink)
                  if _PROCESS[field] in (ink.name.casefold(),
                                         (ink.colour or "").removeprefix("process "))]
        if len(places) != 1:
            raise InputProblem(where=f"{path}: {field}", found=f"film tones of {_PROCESS[field]}",
                               would_do=f"those of the job's inks, none of which is "
                                        f"'process {_PROCESS[field]}'")
        found[field] = places[0]
    return found


def _percents(row: dict[str, str], columns: dict[str, int], job: Job, where: str
              ) -> tuple[float, ...]:
    """Film tone of each of the job's inks in one row, in percent."""
    told = [0.0] * len(job.ink)
    for field, ink in columns.items():
        told[ink] = number_in(row[field], f"{where}, {field}", 0.0, 100.0, "a film tone")
    return tuple(told)


def _check(patch: Patch, told: tuple[float, ...], where: str, job: Job) -> None:
    for ink, found, asked in zip(job.ink, told, patch.percent, strict=True):
        if abs(found - asked) > _SAME_PERCENT:
            raise InputProblem(where=f"{where}, {ink.name}", found=f"a film tone of {found:g} %",
                               would_do=f"{asked:g} %, as the sheet of this job has it,")


def _listed_patches(table: Rows, columns: dict[str, int], job: Job, path: Path
                    ) -> tuple[Patch, ...]:
    """A patch for each row, in the file's order."""
    return tuple(
        Patch(row=0, column=number, percent=_percents(row, columns, job, f"{path}: {place}"),
              kind="wedge", called=row.get(PATCH_COLUMN, "").upper())
        for number, (place, row) in enumerate(table))


def _as_sheet(listed: Sequence[Patch], read: Readings, job: Job, path: Path
              ) -> tuple[tuple[Patch, ...], Readings]:
    """The patches as a sheet like ours, repeated ones as their mean; wood begins each wedge."""
    tones = np.array([patch.percent for patch in listed])
    kept, first, place = np.unique(tones, axis=0, return_index=True, return_inverse=True)
    groups = [np.flatnonzero(place.ravel() == number) for number in range(len(kept))]
    inked = (kept > 0).sum(axis=1)
    patches: list[Patch] = []
    sources: list[NDArray[np.int64]] = []

    def add(number: int, row: int, kind: PatchKind) -> None:
        patches.append(replace(listed[first[number]], row=row, column=len(patches), kind=kind))
        sources.append(groups[number])

    for ink, table in enumerate(job.ink):
        alone = [number for number in range(len(kept))
                 if inked[number] == 0 or (inked[number] == 1 and kept[number, ink] > 0)]
        if not any(kept[number, ink] > 0 for number in alone):
            raise InputProblem(where=f"{path}: {table.name}", found="no tints of it alone",
                               would_do="a wedge of each of the job's inks")
        for number in sorted(alone, key=lambda number: kept[number, ink]):
            add(number, 2 * ink, "wedge")
    for number in np.flatnonzero(inked > 1).tolist():
        solid = np.isin(kept[number], (0.0, 100.0)).all()
        add(number, 2 * len(job.ink), "solid overprint" if solid else "tint overprint")
    lab = np.array([_mean(read.lab[rows]) for rows in sources])
    density = np.array([_mean(read.density[rows]) for rows in sources])
    return tuple(patches), Readings(density=density, lab=lab, condition=read.condition)


def _mean(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Mean of what was read; NaN of nothing."""
    known = values[~np.isnan(values).reshape(len(values), -1).any(axis=1)]
    return np.asarray(known.mean(axis=0) if len(known) else np.full(values.shape[1:], np.nan))
