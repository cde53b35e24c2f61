"""Ink that was weighed on a run, and the transfer factor that follows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.nouns import counted
from separations.colour.measured_files.reading_tables import number_in, read_table
from separations.ink_need.ink_estimate import LEFT_IN_SCREEN_ML, RUN_LOSS, InkEstimate, Range

INK, BOARDS, GRAMS, LEFT = "ink", "boards", "grams used", "left in screen grams"
#: A transfer factor beyond these is no weighing but a slip: own rule, no source.
_LEAST_FACTOR, _MOST_FACTOR = 0.05, 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighing:
    """One ink on one run.

    Attributes
    ----------
    line : int
        Line of the file.
    boards : int
        Boards printed, spoilt ones included.
    used_g : float
        Taken from the tin and not returned to it (g).
    left_g : float or None
        Of that, weighed in the screen and on tools at the end (g); None if it was not.
    """

    line: int
    ink: str
    boards: int
    used_g: float
    left_g: float | None


def read_weighings(path: Path, job: Job) -> tuple[Weighing, ...]:
    """Read a table of weighed ink: ink, boards, grams used and, if weighed, left in screen grams.

    Raises
    ------
    InputProblem
        When the table cannot be read, names an ink that the job lacks, or a figure is no number.
    """
    known = [ink.name for ink in job.ink]
    found = []
    for line, row in read_table(path):
        where = f"{path}: line {line}"
        for heading in (INK, BOARDS, GRAMS):
            if heading not in row:
                raise InputProblem(where=where, found=f"no '{heading}'",
                                   would_do=f"the headings '{INK}', '{BOARDS}', '{GRAMS}' and, if "
                                            f"weighed, '{LEFT}'")
        for heading in row:
            if heading not in (INK, BOARDS, GRAMS, LEFT):
                raise InputProblem(where=f"{path}: heading", found=f"'{heading}'",
                                   would_do=f"'{INK}', '{BOARDS}', '{GRAMS}' or '{LEFT}'")
        if row[INK] not in known:
            raise InputProblem(where=where, found=f"the ink '{row[INK]}'",
                               would_do=" or ".join(f"'{name}'" for name in known))
        boards = number_in(row[BOARDS], f"{where}, {BOARDS}", 1, 100_000, "a number of boards")
        if boards != int(boards):
            raise InputProblem(where=f"{where}, {BOARDS}", found=f"'{row[BOARDS]}'",
                               would_do="a whole number of boards")
        used = number_in(row[GRAMS], f"{where}, {GRAMS}", 0.01, 1_000_000, "grams")
        left = number_in(row[LEFT], f"{where}, {LEFT}", 0, used, "grams") if row.get(LEFT) else None
        found.append(Weighing(line=line, ink=row[INK], boards=int(boards), used_g=used,
                              left_g=left))
    if not found:
        raise InputProblem(where=str(path), found="no weighed ink", would_do="a line for each ink")
    return tuple(found)


def transfer_factors(
    weighings: tuple[Weighing, ...], estimates: Mapping[str, InkEstimate], path: Path
) -> dict[str, Range]:
    """Transfer factor of each weighed ink: share of the theoretical volume that the print takes.

    Parameters
    ----------
    weighings : tuple of Weighing
        One run or several; those of one ink are put together, and the range spans them.
    estimates : mapping of str to InkEstimate
        The job's counted area, mesh volume and density by ink.
    path : Path
        The table, for messages.

    Raises
    ------
    InputProblem
        When an ink has no inked area, or its factor is beyond all reason.

    Notes
    -----
    grams / (area × theoretical volume × density), with the run's loss and what stays in the
    screen taken off: the inverse of `separations.ink_need.ink_estimate.estimate_ink`. The wood's
    thirst is part of the factor. The range is that of the loss and, if it was not weighed, of
    what stays in the screen.
    """
    found = {}
    for ink in dict.fromkeys(w.ink for w in weighings):
        runs = [w for w in weighings if w.ink == ink]
        estimate = estimates[ink]
        # 1 cm² under 1 µm is 1e-4 ml
        board_g = (estimate.inked_cm2 * 1e-4 * estimate.ink_volume_um
                   * estimate.density_g_per_ml)
        each = [_factor(run, board_g, estimate.density_g_per_ml, path) for run in runs]
        boards = sum(run.boards for run in runs)
        found[ink] = Range(
            low=min(factor.low for factor in each),
            likely=sum(f.likely * r.boards for f, r in zip(each, runs, strict=True)) / boards,
            high=max(factor.high for factor in each))
    return found


def _factor(run: Weighing, board_g: float, density: float, path: Path) -> Range:
    where = f"{path}: line {run.line}, {run.ink}"
    if board_g <= 0:
        raise InputProblem(where=where, found="an ink whose film is empty",
                           would_do="an ink that the job prints")
    left = ([ml * density for ml in LEFT_IN_SCREEN_ML] if run.left_g is None
            else [run.left_g] * 3)
    # least ink on the boards: most left behind, most lost
    low, likely, high = ((run.used_g - left[2 - k]) / (1 + RUN_LOSS[2 - k]) / run.boards / board_g
                         for k in range(3))
    if not _LEAST_FACTOR <= likely <= _MOST_FACTOR:
        taken = "taken to be " if run.left_g is None else ""
        weighed = f", or a weighed '{LEFT}'," if run.left_g is None else ""
        raise InputProblem(
            where=where, found=f"{run.used_g:g} g on {counted(run.boards, 'board')}, "
            f"{left[1]:.0f} g of it {taken}left in the screen, so that the print took "
            f"{likely:.2f} times the mesh's theoretical ink volume",
            would_do=f"grams that make it {_LEAST_FACTOR:g} to {_MOST_FACTOR:g} times{weighed}")
    return Range(low=max(low, 0.0), likely=likely, high=high)
