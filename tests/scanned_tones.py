"""Tone values read from made-up pictures against those of the print itself."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preflight.job_file.job_reader import read_job
from separations.colour.press_profile import NINETY
from separations.uses.calibration.model_choice import fit_best
from separations.uses.calibration.readings import Readings
from separations.uses.calibration.resampled_fits import STEP_TONES, fit_spread
from separations.uses.calibration.shared_spread import with_shared
from separations.uses.calibration.tone_value_table import ink_tone_value_increase
from separations.uses.press_scan.joined_scans import JoinedScans
from separations.uses.press_scan.unfit_inks import COLOURS
from tests.made_up_scans import PrintedSheet

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, eq=False)
class ToldTones:
    """Tone values (0 to 1) told less the print's own, and what they are told to lie within.

    Shape (inks, 13): each ink at each step of its wedge between wood and solid. The truth is what
    a densitometer without noise reads in the same colour of light.
    """

    off: FloatArray
    within: FloatArray


def told_tones(sheet: PrintedSheet, job_path: Path, found: JoinedScans) -> ToldTones:
    """What a calibration by pictures tells of each ink's tone values."""
    job = read_job(job_path)
    readings = Readings(density=found.density, lab=np.full((len(sheet.patches), 3), np.nan),
                        read_from="scan", density_noise=found.noise, shared_sd=found.shared_sd)
    chosen = fit_best(job, sheet.patches, readings, "picture")
    spread = with_shared(fit_spread(job, sheet.patches, readings, chosen), chosen.fit, readings)
    off = []
    for ink, colour in enumerate(found.colours):
        wedge = [place for place, patch in enumerate(sheet.patches)
                 if patch.kind == "wedge" and patch.row // 2 == ink]
        tones = np.array([sheet.patches[place].tones[ink] for place in wedge])
        light = sheet.true[wedge, COLOURS.index(colour)]
        means = np.array([light[tones == tone].mean() for tone in np.unique(tones)])
        told = ink_tone_value_increase(job, ink, chosen.fit, STEP_TONES)
        assert told is not None
        off.append(np.add(STEP_TONES, told) - (1.0 - means[1:-1]) / (1.0 - means[-1]))
    return ToldTones(off=np.array(off), within=NINETY * spread.step_value_sd)
