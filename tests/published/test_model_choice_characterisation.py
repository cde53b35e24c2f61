"""Which form of the print model `calibrate` takes, on nine public characterisation sets.

Sources: characterisation data of Fogra (FOGRA28L, 29L, 30L, 39L, 40L) and of CGATS (TR 002, 003,
005, 006), as installed by Debian's icc-profiles-free: offset on paper, no noise of ours added. The
fit is given what our own wedge has, at the tones that the sets have: the ramp of each ink twice,
the solid overprints, each pair at 40 %, and all inks at 40 and 70 %.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from preflight.job_file.job_reader import read_job
from separations.colour.colorimetry import colour_difference, lab_to_xyz, xyz_to_lab
from separations.colour.model_fit import fit_print_model
from separations.uses.calibration.model_choice import fit_best
from separations.uses.calibration.patches import Patch
from separations.uses.calibration.press_fit import fit_press
from separations.uses.calibration.readings import Readings
from tests.small_art import write_small_job

Reader = Callable[[str], Any]
#: Cyan, magenta, yellow and black of the sets, in the small job's print order.
ORDER = (2, 1, 0, 3)
NAMES = ("FOGRA28L", "FOGRA29L", "FOGRA30L", "FOGRA39L", "FOGRA40L", "TR002", "TR003", "TR005",
         "TR006")


def sheet_of(tones: Any, xyz: Any) -> tuple[tuple[Patch, ...], Readings]:
    """A set's readings as a sheet like our own."""
    seen: dict[tuple[float, ...], Any] = {}
    for row, colour in zip(tones, xyz, strict=True):
        seen.setdefault(tuple(float(t) for t in np.round(100 * row, 4)), colour)
    patches, read = [], []

    def add(row: int, column: int, percent: tuple[float, ...], kind: Any) -> None:
        if percent in seen:
            patches.append(Patch(row=row, column=column, percent=percent, kind=kind))
            read.append(xyz_to_lab(seen[percent]))

    for ink in range(4):
        ramp = sorted({key[ink] for key in seen if sum(key) == key[ink]})
        for turn in range(2):
            for column, tone in enumerate(ramp):
                add(2 * ink + turn, column, tuple(tone if k == ink else 0.0 for k in range(4)),
                    "wedge")
    groups = [g for size in (2, 3, 4) for g in combinations(range(4), size)]
    for column, (group, tint) in enumerate([
            *((g, 100.0) for g in groups), *((g, 40.0) for g in groups if len(g) == 2),
            ((0, 1, 2, 3), 40.0), ((0, 1, 2, 3), 70.0)]):
        add(8, column, tuple(tint if k in group else 0.0 for k in range(4)),
            "solid overprint" if tint == 100.0 else "tint overprint")
    lab = np.array(read)
    return tuple(patches), Readings(density=np.full(len(lab), np.nan), lab=lab)


def missed_by_each(folder: Path, patches: Any) -> tuple[float, float, float, bool]:
    """Mean ΔE00 over the whole set: of one curve, of three, of what was taken; was it three?"""
    job = read_job(write_small_job(folder))
    tones = patches.tones[:, ORDER]
    sheet, readings = sheet_of(tones, patches.xyz)
    chosen = fit_best(job, sheet, readings, "set")
    one = fit_press(job, sheet, readings, "set").model
    three = fit_print_model([patch.tones for patch in sheet], lab_to_xyz(readings.lab),
                            ink_names=("Yellow", "Magenta", "Cyan", "Black"))
    assert one is not None
    assert chosen.fit.model is not None
    target = xyz_to_lab(patches.xyz)
    by_one, by_three, taken = (
        float(colour_difference(model.predict_lab(tones), target).mean())
        for model in (one, three, chosen.fit.model))
    return by_one, by_three, taken, bool(chosen.channel_curves)


@pytest.mark.parametrize("name", NAMES)
def test_the_choice_is_no_worse_than_the_better(
    printed_patches: Reader, tmp_path: Path, name: str
) -> None:
    by_one, by_three, taken, _ = missed_by_each(tmp_path, printed_patches(name))
    assert taken <= 1.05 * min(by_one, by_three)
