"""Whether ± holds: many made-up presses, each calibrated once, and how often truth lies within.

`OPENBLAS_NUM_THREADS=1 pytest tests/benchmarks/bench_uncertainty.py -s` with 100 presses of each
kind; PRESSES=500 takes five times as long (threads of small matrices cost more than they save),
FIRST=5000 takes presses that nobody has seen.
Kinds: one of the print model's own form, with n from 1.2 to 2.4; one spectral, whose inks
spread on each other (`tests/published/test_simulated_presses.py`). Readings have 0.3 to 0.7 of
noise (CIELAB).

Colours and tone values are true as the press prints them. Areas and n are figures of the print
model: true is what the form taken would find if the same sheet were read without noise, the value
that a fit tends to when its form is not the press's own (White 1982). On a press of the model's
form these are its own n and areas. On the spectral one they are not: bands of 10 nm with n = 1.7
and no spreading are no three channels with n = 1.7. How often its own figures lie within is told
beside them.

All presses are invented: they tell whether intervals are as wide as noise asks, not how a press
prints. Source of the measure: the coverage of a confidence interval, Neyman 1937.
"""

from __future__ import annotations

import os
from collections import defaultdict
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from separations.colour.colorimetry import colour_difference, lab_to_xyz
from separations.colour.press_profile import NINETY
from separations.colour.tone_values import TOLD_TONES
from separations.uses.calibration.model_choice import ChosenModel, fit_best, model_by_channels
from separations.uses.calibration.patches import Patch, sheet_patches
from separations.uses.calibration.press_fit import PressFit, fit_press
from separations.uses.calibration.readings import Readings
from separations.uses.calibration.resampled_fits import FitSpread, fit_spread, with_spread
from separations.uses.calibration.tone_value_table import ink_tone_value_increase
from tests.made_up_press import press_curves, press_model
from tests.published.test_simulated_presses import SPECTRAL_GAINS, N, spectral_press
from tests.small_art import write_small_job

FloatArray = NDArray[np.float64]
Press = Callable[[FloatArray], FloatArray]
Areas = Callable[[int, FloatArray], FloatArray]
Held = Iterator[tuple[str, NDArray[np.bool_] | bool]]
PRESSES = int(os.environ.get("PRESSES", "100"))
FIRST = int(os.environ.get("FIRST", "0"))
TINTS = np.random.default_rng(0).random((300, 4))


class ModelFigures(NamedTuple):
    """n and areas that readings without noise would give, and the press's own."""

    n: float
    areas: Areas
    own_n: float
    own_areas: Areas


def tone_values(press: Press, ink: int) -> FloatArray:
    """Murray-Davies tone values (0 to 1) of one ink, in X, Y or Z, whichever it takes most of."""
    films = np.zeros((len(TOLD_TONES) + 2, 4))
    films[:, ink] = [0.0, *TOLD_TONES, 1.0]
    light = lab_to_xyz(press(films))
    axis = int(np.argmin(light[-1] / light[0]))
    return np.asarray((light[0] - light[1:-1]) / (light[0] - light[-1]))[:, axis]


def held(job: Job, chosen: ChosenModel, spread: FitSpread, patches: tuple[Patch, ...],
         readings: Readings, press: Press, figures: ModelFigures) -> Held:
    """What of one press lies within its ±."""
    fit, model = chosen.fit, chosen.fit.model
    assert model is not None
    for place, (ink, within) in enumerate(zip(fit.inks, spread.solid_de00, strict=True)):
        film, sd = ink.curve.film, ink.told_sd
        told = ink_tone_value_increase(job, place, fit)
        assert told is not None
        off = np.array(told) + TOLD_TONES - tone_values(press, place)
        yield "tone values", np.abs(off) <= NINETY * spread.tone_value_sd[place]
        solid = press(np.eye(4)[place][None])[0]
        assert within is not None
        assert ink.solid_lab is not None
        yield "solids", bool(colour_difference(ink.solid_lab, solid) <= within)
        for what, areas in (("areas", figures.areas), ("areas of the press", figures.own_areas)):
            yield what, (np.abs(ink.curve.printed - areas(place, film)) <= NINETY * sd)[3:-3]
    yield "n", abs(fit.n - figures.n) <= NINETY * spread.n_sd
    yield "n of the press", abs(fit.n - figures.own_n) <= NINETY * spread.n_sd
    over = [place for place, patch in enumerate(patches) if patch.kind == "solid overprint"]
    true = press(np.array([patches[place].tones for place in over]))
    once = [spread.once_read_de00(lab) for lab in readings.lab[over]]
    yield "overprints", colour_difference(readings.lab[over], true) <= once
    tints = TINTS[TINTS.sum(axis=1) <= 2.6]
    yield "tints of a proof", (colour_difference(model.predict_lab(tints), press(tints))
                               <= (spread.colour_de00 or 0))


def plain_areas(ink: int, film: FloatArray) -> FloatArray:
    return np.asarray(press_curves()[ink].printed_tone(film))


def spectral_areas(ink: int, film: FloatArray) -> FloatArray:
    return np.asarray(film + 4.0 * SPECTRAL_GAINS[ink] * film * (1.0 - film))


def without_noise(job: Job, patches: tuple[Patch, ...], press: Press) -> dict[bool, PressFit]:
    """What one curve (False) and three (True) make of the sheet read without noise."""
    lab = press(np.array([patch.tones for patch in patches]))
    readings = Readings(density=np.full(len(lab), np.nan), lab=lab)
    one = fit_press(job, patches, readings, "made up")
    three = model_by_channels(job, patches, readings, one, ())
    assert three is not None
    return {False: one,
            True: fit_press(job, patches, readings, "made up", n=float(three.n[0]))}


def presses(job: Job, kind: str, count: int) -> Iterator[Held]:
    patches = sheet_patches(job)
    tones = np.array([patch.tones for patch in patches])
    random = np.random.default_rng(7 + FIRST)
    ideal = without_noise(job, patches, spectral_press)
    for seed in range(FIRST, FIRST + count):
        n, noise = float(random.uniform(1.2, 2.4)), float(random.uniform(0.3, 0.7))
        press: Press = press_model(n).predict_lab if kind == "plain" else spectral_press
        lab = press(tones) + np.random.default_rng(1000 + seed).normal(0.0, noise, (len(tones), 3))
        readings = Readings(density=np.full(len(tones), np.nan), lab=lab)
        chosen = fit_best(job, patches, readings, "made up")
        spread = fit_spread(job, patches, readings, chosen)
        figures = (ModelFigures(n, plain_areas, n, plain_areas) if kind == "plain" else
                   spectral_figures(ideal[bool(chosen.channel_curves)]))
        yield held(job, with_spread(chosen, spread), spread, patches, readings, press, figures)


def spectral_figures(ideal: PressFit) -> ModelFigures:
    return ModelFigures(ideal.n, lambda ink, film: ideal.inks[ink].curve.area_at(film),
                        N, spectral_areas)


@pytest.mark.parametrize("kind", ["plain", "spectral"])
def test_how_often_the_truth_is_held(tmp_path: Path, kind: str) -> None:
    job = read_job(write_small_job(tmp_path))
    found = defaultdict(list)
    for one in presses(job, kind, PRESSES):
        for what, inside in one:
            found[what].append(np.mean(inside))
    for what, shares in found.items():
        print(f"| {kind} | {what} | {len(shares)} | {100 * np.mean(shares):.1f} % |")
    assert all(0.0 < np.mean(shares) <= 1.0 for shares in found.values())
