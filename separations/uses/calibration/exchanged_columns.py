"""Columns of a file of readings that stand under each other's heading."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from separations.colour.colorimetry import colour_difference, lab_to_xyz, xyz_to_lab
from separations.colour.ink_colours import print_model
from separations.colour.job_inks import ink_colour
from separations.uses.calibration.patches import Patch
from separations.uses.calibration.readings import Readings

FloatArray = NDArray[np.float64]

#: Solids further than this from what the job tells of its inks (mean dE00) are looked at, and
#: columns are exchanged where they then come this much nearer. Own rules: a press may differ from a
#: job by 10, and an ink of an invented colour by more, but not so that others' columns fit it.
_FAR_DE00, _NEARER = 14.0, 0.4


def check_columns(job: Job, patches: Sequence[Patch], readings: Readings, where: str) -> None:
    """Refuse readings whose columns seem exchanged: solids are what they would be the other way.

    Parameters
    ----------
    where : str
        The file of readings, for messages.

    Raises
    ------
    InputProblem
        When two or three columns of CIELAB or of XYZ fit each other's headings far better.
    """
    solids = [(place, patch.tones.index(1.0)) for place, patch in enumerate(patches)
              if sum(patch.tones) == 1.0 and 1.0 in patch.tones
              and not np.isnan(readings.lab[place, 0])]
    bare = [place for place, patch in enumerate(patches)
            if not any(patch.tones) and not np.isnan(readings.lab[place, 0])]
    if not solids or not bare:
        return
    read = readings.lab[[place for place, _ in solids]]
    wood = readings.lab[bare].mean(axis=0)
    inks = [ink for _, ink in solids]
    as_read = _missed(job, wood, read, inks)
    if as_read < _FAR_DE00:
        return
    for names, turned in _turns(np.vstack((wood, read))):
        if _missed(job, turned[0], turned[1:], inks) < _NEARER * as_read:
            raise InputProblem(
                where=where, found="solids that would be the job's inks if columns were exchanged: "
                + ", ".join(names), would_do="each column under its own heading")


def _missed(job: Job, wood: FloatArray, read: FloatArray, inks: Sequence[int]) -> float:
    """Mean dE00 between solids as read and what the job's inks make on that wood."""
    colours = [replace(ink_colour(job, ink), name=ink.name) for ink in job.ink]
    told = {ink: print_model(wood, [colours[ink]]).primaries_lab[1] for ink in set(inks)}
    return float(colour_difference(read, np.array([told[ink] for ink in inks])).mean())


def _turns(lab: FloatArray) -> Iterator[tuple[list[str], FloatArray]]:
    """The readings with columns exchanged, and which stands where another should."""
    for names, there, back in ((("L", "a", "b"), np.copy, np.copy),
                               (("X", "Y", "Z"), lab_to_xyz, xyz_to_lab)):
        for order in permutations(range(3)):
            if order == (0, 1, 2):
                continue
            moved = [f"{names[old]} as {names[new]}" for new, old in enumerate(order) if old != new]
            turned = there(lab)[:, order]
            if names[0] == "L" and not ((turned[:, 0] >= 0) & (turned[:, 0] <= 100)).all():
                continue
            yield moved, np.asarray(back(turned))
