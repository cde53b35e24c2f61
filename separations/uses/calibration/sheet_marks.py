"""Marks on the test sheet by which a program finds each print, its ink and its patches.

Each is a dark square with 6 × 6 fields in it, bare or inked. Half of them tell their place on
the sheet, the others, four to a row, which sheet it is. All are solid, so no halftone cuts them.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from separations.uses.calibration.patches import ROW_LETTERS, Patch

#: Fields along a mark's side, with its dark edge one field wide.
FIELDS = 6
_FIELDS_WITH_EDGE = FIELDS + 2
#: Side of one field (mm): some two threads of the coarsest cloth for halftones, and 7 pixels of a
#: scan at 300 ppi. Own rule.
FIELD_MM = 0.6
MARK_MM = _FIELDS_WITH_EDGE * FIELD_MM
#: Columns of patches above whose right end a mark stands: those of a place, those of the sheet.
PLACE_COLUMNS = (0, 4, 7, 10, 14)
NUMBER_COLUMNS = (2, 5, 9, 12)
#: Each of the four figures of a sheet's number has this many values.
FIGURE_VALUES = 64
_PLACES = len(ROW_LETTERS) * len(PLACE_COLUMNS)


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetMark:
    """One mark of a sheet.

    Attributes
    ----------
    code : int
        Its row in `mark_fields`.
    row, column : int
        The patch above which it stands.
    """

    code: int
    row: int
    column: int


@dataclass(frozen=True, slots=True)
class SheetNumber:
    """Which sheet it is, by digests of the job and of what its sheet was made with.

    Attributes
    ----------
    figures : tuple of int
        Two figures of 0 to 63 for the job and two for what its sheet was made with.
    """

    figures: tuple[int, int, int, int]

    def is_of_job(self, other: SheetNumber) -> bool:
        """Whether both are of one job."""
        return self.figures[:2] == other.figures[:2]


@lru_cache(maxsize=1)
def mark_fields() -> NDArray[np.uint8]:
    """All marks: shape (N, 6, 6), uint8, 1 where a field is bare.

    Notes
    -----
    Drawn at random, kept where they differ from all others, turned and mirrored, in 10 fields of
    36 or more, and from themselves likewise: two fields read wrongly make no other mark of one.
    """
    told = json.loads(files("separations.uses.calibration").joinpath("mark_codes.json")
                      .read_text(encoding="utf-8"))
    return np.array([[int(bit) for bit in f"{int(code, 16):0{FIELDS**2}b}"]
                     for code in told["codes"]], np.uint8).reshape(-1, FIELDS, FIELDS)


def sheet_number(job: Job, patches: Sequence[Patch]) -> SheetNumber:
    """The number that a job's test sheet carries."""
    of_job = [job.title, [ink.name for ink in job.ink]]
    made_with = [[patch.percent for patch in patches],
                 [_printed_with(job, ink) for ink in job.ink]]
    first, second = (hashlib.sha256(json.dumps(part).encode()).digest()
                     for part in (of_job, made_with))
    return SheetNumber((first[0] % FIGURE_VALUES, first[1] % FIGURE_VALUES,
                        second[0] % FIGURE_VALUES, second[1] % FIGURE_VALUES))


def _printed_with(job: Job, ink: InkTable) -> list[str]:
    """What tone values depend on, written so that later versions write it alike."""
    spec, mesh = job.halftone_of(ink), job.mesh_of(ink)
    return [spec.dot_shape, spec.small_dots, *(f"{figure:.6g}" for figure in (
        spec.ruling_lpcm, spec.angle_deg, spec.film_dpi, spec.smallest_tone, spec.largest_tone,
        spec.stochastic_dot_um, mesh.threads_per_cm, mesh.thread_um, mesh.angle_deg))]


def row_marks(row: int, number: SheetNumber) -> Iterator[SheetMark]:
    """The marks above a row of patches, from the left.

    Every other row has the number's halves exchanged, so that half a sheet tells all of it.
    """
    for k, column in enumerate(PLACE_COLUMNS):
        yield SheetMark(code=row * len(PLACE_COLUMNS) + k, row=row, column=column)
    for k, column in enumerate(NUMBER_COLUMNS):
        figure = _figure_at(row, k)
        yield SheetMark(code=_PLACES + figure * FIGURE_VALUES + number.figures[figure],
                        row=row, column=column)


def place_told(code: int) -> tuple[int, int] | None:
    """Row and column that a mark stands above, or None where it tells a figure."""
    if code >= _PLACES:
        return None
    row, k = divmod(code, len(PLACE_COLUMNS))
    return row, PLACE_COLUMNS[k]


def figure_told(code: int) -> tuple[int, int]:
    """Which of the four figures of the sheet's number a mark tells, and its value."""
    return divmod(code - _PLACES, FIGURE_VALUES)


def number_column(row: int, figure: int) -> int:
    """The column above which a row has that figure."""
    return next(column for k, column in enumerate(NUMBER_COLUMNS) if _figure_at(row, k) == figure)


def _figure_at(row: int, k: int) -> int:
    return (k + 2 * (row % 2)) % len(NUMBER_COLUMNS)
