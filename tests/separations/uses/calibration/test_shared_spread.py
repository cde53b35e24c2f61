"""What all readings of an ink share is added to ± once, for tone values and for areas."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from preflight.job_file.job_reader import read_job
from separations.colour.tone_values import area_of_tone_value
from separations.uses.calibration.model_choice import fit_best
from separations.uses.calibration.patches import sheet_patches
from separations.uses.calibration.readings import Readings
from separations.uses.calibration.resampled_fits import fit_spread
from separations.uses.calibration.shared_spread import with_shared
from tests.made_up_scans import write_two_ink_job

SHARED = 0.02


def test_shared_errors_are_added(tmp_path: Path) -> None:
    job = read_job(write_two_ink_job(tmp_path))
    patches = sheet_patches(job)
    tones = np.array([max(patch.tones) for patch in patches])
    value = tones + 0.4 * tones * (1.0 - tones)
    density = -np.log10(1.0 - 0.9 * value)
    density[[patch.kind != "wedge" for patch in patches]] = np.nan
    readings = Readings(
        density=density, lab=np.full((len(patches), 3), np.nan), read_from="scan",
        density_noise=np.full(len(patches), 0.003), shared_sd=np.full(len(patches), SHARED))
    chosen = fit_best(job, patches, readings, "made up")
    alone = fit_spread(job, patches, readings, chosen, count=6)
    both = with_shared(alone, chosen.fit, readings)
    assert np.allclose(both.step_value_sd, np.hypot(alone.step_value_sd, SHARED))
    assert np.allclose(both.tone_value_sd, np.hypot(alone.tone_value_sd, SHARED))
    # area by tone value is as steep as the law has it
    middle = int(np.argmin(np.abs(chosen.fit.inks[0].curve.film - 0.5)))
    areas = area_of_tone_value([0.595, 0.605], 0.1, chosen.fit.n)
    steep = float(np.diff(areas)[0]) / 0.01
    added = np.sqrt(both.curve_sd[0, middle] ** 2 - alone.curve_sd[0, middle] ** 2)
    assert abs(added / SHARED - steep) < 0.1 * steep
    assert with_shared(alone, chosen.fit, replace(readings, shared_sd=None)) is alone
