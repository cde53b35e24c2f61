"""How sure a fit says it is, against presses whose truth is known."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from separations.colour.colorimetry import colour_difference, lab_to_xyz, xyz_to_wide_rgb
from separations.colour.press_profile import NINETY
from separations.uses.calibration.model_choice import fit_best
from separations.uses.calibration.readings import Readings
from separations.uses.calibration.resampled_fits import FitSpread, fit_spread, with_spread
from tests.made_up_press import CHANNELS, press_curves, press_model, printed_sheet
from tests.small_art import write_small_job

Write = Callable[..., Path]
TINTS = np.random.default_rng(0).random((300, 4))


class Judged(NamedTuple):
    """One made-up press: whether intervals hold the truth, and how far a proof is off."""

    curves: NDArray[np.bool_]
    n: bool
    solids: NDArray[np.bool_]
    proof_de00: float
    spread: FitSpread


def judged(job: Job, n: float, noise: float, seed: int, count: int = 24) -> Judged:
    patches, lab = printed_sheet(job, n, noise, seed)
    readings = Readings(density=np.full(len(patches), np.nan), lab=lab)
    plain = fit_best(job, patches, readings, "made up")
    spread = fit_spread(job, patches, readings, plain, count=count)
    fit = with_spread(plain, spread).fit
    held = [np.abs(ink.curve.printed - truth.printed_tone(ink.curve.film))
            <= NINETY * ink.told_sd for ink, truth in zip(fit.inks, press_curves(), strict=True)]
    model = press_model(n)
    solids = np.array([
        float(colour_difference(ink.solid_lab, model.primaries_lab[1 << place])) <= within
        for place, (ink, within) in enumerate(zip(fit.inks, spread.solid_de00, strict=True))
        if ink.solid_lab is not None and within is not None])
    assert fit.model is not None
    away = colour_difference(fit.model.predict_lab(TINTS), model.predict_lab(TINTS))
    return Judged(np.array(held)[:, 3:-3], abs(fit.n - n) <= NINETY * spread.n_sd + 0.05, solids,
                  float(np.percentile(away, 90)), spread)


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Job:
    return read_job(write_small_job(tmp_path_factory.mktemp("job")))


def test_a_noisier_sheet_is_less_sure_and_the_same_readings_are_as_sure(job: Job) -> None:
    patches, lab = printed_sheet(job, 1.7, 0.0, 1)
    noise = np.random.default_rng(2).normal(0.0, 1.0, lab.shape)
    spreads = []
    for size in (0.2, 0.2, 0.8):
        readings = Readings(density=np.full(len(lab), np.nan), lab=lab + size * noise)
        chosen = fit_best(job, patches, readings, "made up")
        spreads.append(fit_spread(job, patches, readings, chosen, count=8))
    quiet, again, loud = spreads
    np.testing.assert_array_equal(quiet.curve_sd, again.curve_sd)
    assert loud.curve_sd[:, 3:-3].mean() > 2.0 * quiet.curve_sd[:, 3:-3].mean()
    assert (loud.colour_de00 or 0) > 2.0 * (quiet.colour_de00 or 9)
    assert loud.once_read_de00(lab[0]) > 2.0 * quiet.once_read_de00(lab[0])
    assert quiet.curve_sd[:, [0, -1]].max() == 0.0, "film of no tone, and of all, print as told"


def test_densities_alone_tell_no_spread_of_n_and_none_of_colours(job: Job) -> None:
    patches, lab = printed_sheet(job, 1.7, 0.0, 1)
    channel = np.array([CHANNELS[patch.row // 2] if patch.kind == "wedge" else 0
                        for patch in patches])
    density = -np.log10(xyz_to_wide_rgb(lab_to_xyz(lab))[np.arange(len(lab)), channel])
    density[[patch.kind != "wedge" for patch in patches]] = np.nan
    density += np.random.default_rng(3).normal(0.0, 0.01, len(density))
    readings = Readings(density=density, lab=np.full_like(lab, np.nan))
    chosen = fit_best(job, patches, readings, "made up")
    spread = fit_spread(job, patches, readings, chosen, count=8)
    assert (spread.n_sd, spread.colour_de00) == (0.0, None)
    assert spread.solid_de00 == (None,) * 4
    assert 0.0005 < spread.curve_sd[:, 3:-3].mean() < 0.03
    told = with_spread(chosen, spread).fit.inks[0]
    assert (NINETY * told.told_sd >= told.n_part).all(), "what any n would change is on top"


@pytest.mark.long
def test_intervals_hold_the_truth_of_a_few_presses(job: Job) -> None:
    """Four presses: far too few to tell 90 % from 80 %, enough to notice intervals of no use.

    All tones of a press move together with its n: one n off by two tenths takes most of them along.
    """
    found = [judged(job, n, 0.5, seed, count=10)
             for seed, n in enumerate((1.3, 1.6, 1.8, 2.1), 60)]
    assert np.mean([one.curves for one in found]) > 0.6
    assert np.mean([one.solids for one in found]) > 0.7
    for one in found:
        assert 0.4 < one.proof_de00 / (one.spread.colour_de00 or 9) < 2.5


@pytest.mark.long
def test_intervals_of_ninety_percent_hold_the_truth_that_often(job: Job) -> None:
    """Presses of the model's own form; n, noise and seed differ."""
    random = np.random.default_rng(5)
    found = [judged(job, float(random.uniform(1.2, 2.4)), float(random.uniform(0.3, 0.7)), seed)
             for seed in range(100, 160)]
    assert 0.85 <= np.mean([one.curves for one in found]) <= 0.99
    assert 0.85 <= np.mean([one.solids for one in found]) <= 0.99
    assert np.mean([one.n for one in found]) >= 0.8
