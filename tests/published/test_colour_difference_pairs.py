"""CIEDE2000 against the published pairs, and Lab against a reference library.

Sources: Sharma, Wu and Dalal, "The CIEDE2000 color-difference formula: implementation notes,
supplementary test data, and mathematical observations", Color Research and Application 30
(2005), table 1; colour-science (development only) for XYZ, Lab and sRGB; IEC 61966-2-1.
"""

from __future__ import annotations

import numpy as np
import pytest

from separations.colour import colorimetry
from separations.colour.difference_metric import colour_metric

PAIRS = np.array([
    [50, 2.6772, -79.7751, 50, 0, -82.7485, 2.0425],
    [50, 3.1571, -77.2803, 50, 0, -82.7485, 2.8615],
    [50, 2.8361, -74.02, 50, 0, -82.7485, 3.4412], [50, -1.3802, -84.2814, 50, 0, -82.7485, 1.0],
    [50, -1.1848, -84.8006, 50, 0, -82.7485, 1.0], [50, -0.9009, -85.5211, 50, 0, -82.7485, 1.0],
    [50, 0, 0, 50, -1, 2, 2.3669], [50, -1, 2, 50, 0, 0, 2.3669],
    [50, 2.49, -0.001, 50, -2.49, 0.0009, 7.1792], [50, 2.49, -0.001, 50, -2.49, 0.001, 7.1792],
    [50, 2.49, -0.001, 50, -2.49, 0.0011, 7.2195], [50, 2.49, -0.001, 50, -2.49, 0.0012, 7.2195],
    [50, -0.001, 2.49, 50, 0.0009, -2.49, 4.8045], [50, -0.001, 2.49, 50, 0.001, -2.49, 4.8045],
    [50, -0.001, 2.49, 50, 0.0011, -2.49, 4.7461], [50, 2.5, 0, 50, 0, -2.5, 4.3065],
    [50, 2.5, 0, 73, 25, -18, 27.1492], [50, 2.5, 0, 61, -5, 29, 22.8977],
    [50, 2.5, 0, 56, -27, -3, 31.903], [50, 2.5, 0, 58, 24, 15, 19.4535],
    [50, 2.5, 0, 50, 3.1736, 0.5854, 1.0], [50, 2.5, 0, 50, 3.2972, 0, 1.0],
    [50, 2.5, 0, 50, 1.8634, 0.5757, 1.0], [50, 2.5, 0, 50, 3.2592, 0.335, 1.0],
    [60.2574, -34.0099, 36.2677, 60.4626, -34.1751, 39.4387, 1.2644],
    [63.0109, -31.0961, -5.8663, 62.8187, -29.7946, -4.0864, 1.263],
    [61.2901, 3.7196, -5.3901, 61.4292, 2.248, -4.962, 1.8731],
    [35.0831, -44.1164, 3.7933, 35.0232, -40.0716, 1.5901, 1.8645],
    [22.7233, 20.0904, -46.694, 23.0331, 14.973, -42.5619, 2.0373],
    [36.4612, 47.858, 18.3852, 36.2715, 50.5065, 21.2231, 1.4146],
    [90.8027, -2.0831, 1.441, 91.1528, -1.6435, 0.0447, 1.4441],
    [90.9257, -0.5406, -0.9208, 88.6381, -0.8985, -0.7239, 1.5381],
    [6.7747, -0.2908, -2.4247, 5.8714, -0.0985, -2.2286, 0.6377],
    [2.0776, 0.0795, -1.135, 0.9033, -0.0636, -0.5514, 0.9082]])


def test_all_34_pairs() -> None:
    assert PAIRS.shape == (34, 7)
    found = colorimetry.colour_difference(PAIRS[:, :3], PAIRS[:, 3:6])
    assert np.abs(found - PAIRS[:, 6]).max() < 5.1e-5


def quadratic_difference(lab_a: np.ndarray, lab_b: np.ndarray) -> float:
    metric = np.empty((3, 3))
    colour_metric(lab_a, lab_b, (1.0, 1.0, 1.0), metric)
    return float(np.sqrt((lab_a - lab_b) @ metric @ (lab_a - lab_b)))


@pytest.mark.parametrize("pair", [p for p in PAIRS if p[6] < 1.8 and np.hypot(p[1], p[2]) > 2.0])
def test_the_search_metric_is_ciede2000_for_small_differences(pair: np.ndarray) -> None:
    assert quadratic_difference(pair[:3], pair[3:6]) == pytest.approx(pair[6], rel=0.01)


def test_the_search_metric_over_all_colours() -> None:
    rng = np.random.default_rng(3)
    labs = rng.uniform([5, -70, -70], [95, 70, 70], (400, 3))
    near = labs + rng.normal(0.0, 0.3, labs.shape)
    quadratic = [quadratic_difference(a, b) for a, b in zip(labs, near, strict=True)]
    assert np.allclose(quadratic, colorimetry.colour_difference(labs, near), rtol=0.02, atol=0.004)


@pytest.mark.filterwarnings("ignore")
def test_lab_and_srgb_agree_with_a_reference_library() -> None:
    colour = pytest.importorskip("colour")
    rng = np.random.default_rng(4)
    xyz = rng.uniform(0.0005, 1.0, (500, 3)) * colorimetry.D50_XYZ
    white_xy = colour.XYZ_to_xy(colorimetry.D50_XYZ)
    assert np.allclose(colorimetry.xyz_to_lab(xyz), colour.XYZ_to_Lab(xyz, white_xy), atol=1e-6)
    srgb = rng.uniform(0.0, 1.0, (500, 3))
    there = colour.sRGB_to_XYZ(srgb, illuminant=white_xy, chromatic_adaptation_transform="Bradford")
    # the reference library's white is rounded elsewhere
    assert np.allclose(colorimetry.srgb_to_xyz(srgb), there, atol=4e-4)


def test_srgb_white_and_wide_rgb_white() -> None:
    white = colorimetry.xyz_to_lab(colorimetry.srgb_to_xyz(np.ones(3)))
    assert np.allclose(white, [100, 0, 0], atol=0.01)
    assert np.allclose(colorimetry.xyz_to_wide_rgb(colorimetry.D50_XYZ), 1.0, atol=5e-4)
