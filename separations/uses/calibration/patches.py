"""The patches of the test sheet: which tones, in which order, under which names."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.nouns import counted
from separations.colour.measured_files.patch_rows import PATCH_COLUMN
from separations.ink_need.ink_table import inert

#: Film tones of a wedge, in percent.
STEPS_PERCENT = (0, 2, 5, 10, 20, 30, 40, 50, 60, 70, 80, 90, 95, 98, 100)
COLUMNS = len(STEPS_PERCENT)
#: Tints printed over each other at one tone, in percent: pairs, and all inks together.
PAIR_TINT_PERCENT = 50
ALL_TINTS_PERCENT = (25, 50, 75)
#: Letters of the rows; I and O are too like 1, J and 0.
ROW_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
READING_COLUMNS = ("D", "L", "a", "b", "X", "Y", "Z")
_TONE_ENDING = " film %"

PatchKind = Literal["wedge", "solid overprint", "tint overprint"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Patch:
    """One patch.

    Attributes
    ----------
    row, column : int
        Its place on the sheet, from 0 at the upper left.
    percent : tuple of float
        Film tone of each of the job's inks, in print order, in percent as printed beside it.
    kind : PatchKind
        What it is there for.
    called : str
        Its name where it is on another sheet than ours.
    """

    row: int
    column: int
    percent: tuple[float, ...]
    kind: PatchKind
    called: str = ""

    @property
    def name(self) -> str:
        """Row letter and column number, as on our sheet; else the name that it has on its own."""
        return self.called or f"{ROW_LETTERS[self.row]}{self.column + 1}"

    @property
    def tones(self) -> tuple[float, ...]:
        """Film tone of each ink, 0 to 1."""
        return tuple(value / 100 for value in self.percent)


def sheet_patches(job: Job) -> tuple[Patch, ...]:
    """All patches of a job's test sheet, row by row.

    Every ink has its wedge twice, rising and then falling, so that each tone lies on two places
    of the wood; the overprints of the photograph's inks follow.

    Raises
    ------
    InputProblem
        When the inks need more rows than there are letters.
    """
    count = len(job.ink)
    patches: list[Patch] = []
    for ink in range(count):
        for turn, steps in enumerate((STEPS_PERCENT, STEPS_PERCENT[::-1])):
            patches += [Patch(row=2 * ink + turn, column=column,
                              percent=_only(count, (ink,), step), kind="wedge")
                        for column, step in enumerate(steps)]
    photo = [place for place, ink in enumerate(job.ink) if ink.prints == "photo"]
    row = 2 * count
    for number, (group, tint) in enumerate(_overprints(photo)):
        patches.append(Patch(row=row + number // COLUMNS, column=number % COLUMNS,
                             percent=_only(count, group, tint),
                             kind="solid overprint" if tint == 100 else "tint overprint"))
    if patches[-1].row >= len(ROW_LETTERS):
        raise InputProblem(where=f"{job.path}: ink", found=counted(count, "ink"),
                           would_do=f"fewer inks, so that {len(ROW_LETTERS)} rows hold them,")
    return tuple(patches)


def patches_csv(job: Job, patches: Sequence[Patch], density: Sequence[float] = ()) -> str:
    """The list that the operator fills in: a row a patch, readings left empty.

    Where densities are given (NaN for none) they stand in it already.
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow([PATCH_COLUMN, *map(tone_column, (ink.name for ink in job.ink)),
                     *READING_COLUMNS])
    told = ["" if math.isnan(one) else f"{one:.4f}" for one in density] or [""] * len(patches)
    writer.writerows([patch.name, *(f"{tone:g}" for tone in patch.percent), one,
                      *[""] * (len(READING_COLUMNS) - 1)]
                     for patch, one in zip(patches, told, strict=True))
    return text.getvalue()


def tone_column(ink: str) -> str:
    """The heading over an ink's film tones; no spreadsheet takes it for a formula."""
    return inert(ink + _TONE_ENDING)


def _only(count: int, inks: Sequence[int], tone: float) -> tuple[float, ...]:
    return tuple(tone if place in inks else 0 for place in range(count))


def _overprints(photo: Sequence[int]) -> list[tuple[tuple[int, ...], float]]:
    """Groups of inks and their common tone in percent."""
    if len(photo) < 2:
        return []
    sizes = sorted({2, min(3, len(photo)), len(photo)})
    solids = [(group, 100.0) for size in sizes for group in combinations(photo, size)]
    pairs = [(group, float(PAIR_TINT_PERCENT)) for group in combinations(photo, 2)]
    every = [(tuple(photo), float(tone)) for tone in ALL_TINTS_PERCENT
             if len(photo) > 2 or tone != PAIR_TINT_PERCENT]
    return [*solids, *pairs, *every]
