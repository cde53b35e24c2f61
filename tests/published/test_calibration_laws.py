"""Calibration against published laws, numbers and measured prints.

Sources: Murray 1936, as told in cmykhistory.com, "Murray-Davies: origin story"; the worked
numbers a = 0.50 with solids of 3.0 and 1.33 from the alt-photo-process list, September 2004;
Yule and Nielsen 1951 (worked numbers by algebra). "Half-tone printing process line", article
6566571 of a mesh maker (Sefar), as a press to be found again. FOGRA39L and FOGRA29L
characterisation data (Fogra, 2006 and 2003): offset on paper, no noise of ours added.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from separations.colour.colorimetry import colour_difference, xyz_to_lab
from separations.colour.print_model import CURVE_ENTRIES, plain_model
from separations.colour.tone_values import tone_value_of_light
from separations.uses.calibration.curve_fit import fit_curve
from separations.uses.calibration.wedge_signals import colour_signal, density_signal

Reader = Callable[[str], Any]


@pytest.mark.parametrize(("area", "solid", "density", "n"), [
    (0.5, 3.0, 0.3006, 1.0), (0.5, 1.33, 0.2812, 1.0), (0.5195, 1.40, 0.30, 1.0),
    (0.7411, 1.40, 0.54, 1.0), (0.3929, 1.40, 0.30, 1.7), (0.6104, 1.40, 0.54, 1.7),
    (0.3649, 1.40, 0.30, 2.0)])
def test_worked_areas(area: float, solid: float, density: float, n: float) -> None:
    """A straight press: each film tone prints as itself, so the fit reads back the area."""
    tones = np.array([0.0, area / 3, 2 * area / 3, area, (1 + area) / 2, 1.0])
    above = -n * np.log10(1 - tones * (1 - 10 ** (-solid / n)))
    above[3] = density
    fit = fit_curve(density_signal(tones, above, n, noise_d=0.0005))
    assert fit.areas[3] == pytest.approx(area, abs=3e-4)
    assert fit.area_at(np.array([area]))[0] == pytest.approx(area, abs=5e-4)


@pytest.mark.parametrize(("area", "solid", "density"), [
    (0.5, 3.0, 0.3006), (0.5, 1.33, 0.2812), (0.5195, 1.40, 0.30), (0.7411, 1.40, 0.54)])
def test_worked_tone_values_by_light_over_the_substrate(
        area: float, solid: float, density: float) -> None:
    """The same worked numbers as light: a scan of tint, solid and bare wood at any exposure."""
    for wood in (0.9, 0.31):
        tint, full = wood * 10**-density, wood * 10**-solid
        assert tone_value_of_light(tint / wood, full / wood) == pytest.approx(area, abs=3e-4)


def test_a_published_press_is_found_from_its_own_rows() -> None:
    film = np.array([0, 1, 6, 11, 17, 22, 32, 40, 47, 53, 63, 69, 76, 83, 91, 99, 100]) / 100
    printed = np.array([0, 0, 2, 7, 15, 22, 35, 44, 53, 59, 76, 84, 89, 94, 98, 100, 100]) / 100
    density = -np.log10(1 - printed * (1 - 10**-1.4))
    fit = fit_curve(density_signal(film, density, 1.0, noise_d=0.002))
    off = np.abs(fit.area_at(film) - printed)
    assert off.mean() <= 0.006
    assert off.max() <= 0.03


@pytest.mark.parametrize("name", ["FOGRA39L", "FOGRA29L"])
@pytest.mark.parametrize("ink", [0, 1, 2, 3])
def test_every_second_step_predicts_the_others(
    printed_patches: Reader, name: str, ink: int
) -> None:
    patches = printed_patches(name)
    alone = (np.delete(patches.tones, ink, axis=1) == 0).all(axis=1)
    order = np.argsort(patches.tones[alone, ink])
    tones, first = np.unique(patches.tones[alone, ink][order], return_index=True)
    xyz = patches.xyz[alone][order][first]
    kept = np.unique([*range(0, len(tones), 2), len(tones) - 1])
    left = np.setdiff1d(np.arange(len(tones)), kept)
    assert len(kept) >= 6
    lab = xyz_to_lab(xyz)
    fit = fit_curve(colour_signal(tones[kept], lab[kept], 1.7, noise_lab=0.2))
    grid = np.linspace(0.0, 1.0, CURVE_ENTRIES)
    model = plain_model((f"ink {ink}",), xyz[[0, -1]], np.ones(2, np.bool_),
                        curves=fit.area_at(grid)[None], n=1.7)
    away = colour_difference(model.predict_lab(tones[left][:, None]), lab[left])
    # one curve serves all three channels, which is what is left over
    assert away.mean() <= 1.4
    assert away.max() <= 2.6
