"""One round through two made-up presses: wedge, readings, profile, and what the job then predicts.

Both have another wood than the job tells, n = 1.7, a tone value increase of 16 to 20 % at 50 % and
readings with 0.5 of noise in CIELAB. One is a Yule-Nielsen modified Neugebauer sum itself; the
other one mixes 31 spectral bands and lets inks spread more on other inks. Both are invented: they
tell whether the loop closes, not how a press prints. Laws: Yule and Nielsen 1951; Hersch and Crete
2005 (ink spreading); weights for D50 and 2 degrees by ASTM E308, from colour-science.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.job_file.job_reader import read_job
from separations.colour.colorimetry import (
    colour_difference,
    lab_to_xyz,
    wide_rgb_to_xyz,
    xyz_to_lab,
    xyz_to_wide_rgb,
)
from separations.colour.job_inks import whole_model
from separations.uses.calibration.calibration_run import calibrate
from separations.uses.calibration.patches import sheet_patches
from tests.small_art import write_small_job

FloatArray = NDArray[np.float64]
Press = Callable[[FloatArray], FloatArray]

N = 1.7
#: How far the area under ink exceeds the film's at 50 %: yellow, magenta, cyan, black.
GAINS = np.array([0.09, 0.08, 0.085, 0.055])
SPECTRAL_GAINS = np.array([0.085, 0.085, 0.085, 0.08])
#: A red-brown wood; the job tells a paler one.
WOOD_LAB = np.array([69.0, 8.5, 24.0])
SOLIDS_LAB = np.array([[64.0, 9.0, 66.0], [38.0, 52.0, 12.0], [40.0, -24.0, -22.0],
                       [16.0, 1.0, 3.0]])
WAVES = np.arange(400.0, 701.0, 10.0)


def areas(tones: FloatArray, gains: FloatArray) -> FloatArray:
    return np.asarray(tones + 4.0 * gains * tones * (1.0 - tones))


def mixed(area: FloatArray, primaries: FloatArray) -> FloatArray:
    """Demichel's weights and the sum in the power of 1/n; (N, 4) and (16, bands) to (N, bands)."""
    total = np.zeros((len(area), primaries.shape[1]))
    for inked in product((0, 1), repeat=4):
        weight = np.prod(np.where(np.array(inked) == 1, area, 1.0 - area), axis=1)
        index = sum(one << bit for bit, one in enumerate(inked))
        total += weight[:, None] * primaries[index] ** (1.0 / N)
    return np.asarray(total**N)


def plain_press(tones: FloatArray) -> FloatArray:
    wood = xyz_to_wide_rgb(lab_to_xyz(WOOD_LAB))
    through = xyz_to_wide_rgb(lab_to_xyz(SOLIDS_LAB)) / wood
    primaries = np.array([wood * np.prod(
        [through[bit] for bit in range(4) if index >> bit & 1] or [np.ones(3)], axis=0)
        for index in range(16)])
    return xyz_to_lab(wide_rgb_to_xyz(mixed(areas(tones, GAINS), np.maximum(primaries, 1e-3))))


def spectral_press(tones: FloatArray) -> FloatArray:
    wood = 0.18 + 0.42 / (1.0 + np.exp(-(WAVES - 560.0) / 60.0))
    bands = ((440.0, 34.0, 2.6), (540.0, 36.0, 2.4), (640.0, 60.0, 2.0))
    density = [depth * np.exp(-0.5 * ((WAVES - middle) / width) ** 2) * 0.55 + 0.02
               for middle, width, depth in bands]
    through = 10.0 ** -np.array([*density, np.full(31, 0.95)])
    primaries = np.array([0.01 + wood * np.prod(
        [through[bit] for bit in range(4) if index >> bit & 1] or [np.ones(31)], axis=0)
        for index in range(16)])
    area = areas(tones, SPECTRAL_GAINS)
    # on other inks an ink spreads further, by up to a tenth of what is bare between its dots
    others = (area.sum(axis=1, keepdims=True) - area) / 3.0
    area = area + 0.10 * others * area * (1.0 - area)
    return xyz_to_lab(mixed(area, primaries) @ weights() / 100.0)


def weights() -> FloatArray:
    """ASTM E308 weights of D50 and 2 degrees for 400 to 700 nm by 10; shape (31, 3)."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it looks for libraries to draw with
        import colour
    fine = colour.SpectralShape(360, 780, 1)
    cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(fine)
    shape = colour.SpectralShape(360, 780, 10)
    table = np.array(colour.colorimetry.tristimulus_weighting_factors_ASTME2022(
        cmfs, colour.SDS_ILLUMINANTS["D50"].copy().align(fine), shape))
    kept = table[4:35].copy()
    kept[0] += table[:4].sum(axis=0)
    kept[-1] += table[35:].sum(axis=0)
    return kept


def one_round(folder: Path, press: Press) -> FloatArray:
    """ΔE00 between what the job predicts and what the press prints, over 2000 tints."""
    path = write_small_job(folder)
    path.write_text(path.read_text() + "[wood]\nlab = [74, 6, 26]\n")
    job = read_job(path)
    patches = sheet_patches(job)
    tones = np.array([patch.tones for patch in patches])
    noise = np.random.default_rng(19).normal(0.0, 0.5 / np.sqrt(3.0), (len(tones), 3))
    read = press(tones) + noise
    rows = [",".join([patch.name, *(f"{value:.2f}" for value in lab)])
            for patch, lab in zip(patches, read, strict=True)]
    (folder / "read.csv").write_text("patch,L,a,b\n" + "\n".join(rows) + "\n")
    calibrate(path, folder / "read.csv", folder / "press")
    (folder / "press.toml").write_text((folder / "press" / "press_profile.toml").read_text())
    path.write_text(path.read_text().replace("boards = 3",
                                             'boards = 3\npress_profile = "press.toml"'))
    asked = np.random.default_rng(7).random((2000, 4))
    asked = asked[asked.sum(axis=1) <= 2.6]
    return colour_difference(whole_model(read_job(path)).predict_lab(asked), press(asked))


@pytest.mark.parametrize(("press", "mean", "most"), [
    (plain_press, 0.7, 2.5), (spectral_press, 1.0, 4.0)])
def test_one_round_is_enough(tmp_path: Path, press: Press, mean: float, most: float) -> None:
    off = one_round(tmp_path, press)
    assert off.mean() <= mean
    assert off.max() <= most


def test_the_gain_is_of_the_kind_told() -> None:
    """Murray-Davies tone value increase at 50 %, in the channel that falls most."""
    half = 0.5 * np.eye(4)
    for press in (plain_press, spectral_press):
        light = [xyz_to_wide_rgb(lab_to_xyz(press(t))) for t in (np.zeros((1, 4)), half, np.eye(4))]
        for ink in range(4):
            fall = light[0][0] - light[2][ink]
            channel = int(np.argmax(fall))
            told = (light[0][0] - light[1][ink])[channel] / fall[channel] - 0.5
            assert 0.16 <= told <= 0.20
