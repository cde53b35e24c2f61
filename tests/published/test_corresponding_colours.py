"""Corresponding colours and the hue space, against a reference library and tabled values.

Sources: colour-science's Zhai and Luo 2018 adaptation with CAT16 (the transform of CIECAM16, CIE
248:2022) and its IPT (Ebner and Fairchild 1998); the tabled Lab were computed with that library.
"""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from separations.colour.adaptation import adaptation_matrix, print_viewer
from separations.colour.colorimetry import D50_XYZ, lab_to_xyz, xyz_to_lab
from separations.colour.hue_space import lpt_to_xyz, xyz_to_lpt

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # the library tells which of its own parts are missing
    from colour import XYZ_to_IPT
    from colour.adaptation import chromatic_adaptation_Zhai2018

WOOD = np.array([47.154, 46.704, 22.224])
RNG = np.random.default_rng(18)


@pytest.mark.parametrize(("lab", "half", "whole"), [
    ((100, 0, 0), (100, 3.90, 15.24), (100, 7.73, 33.51)),
    ((50, 0, 0), (50, 2.22, 8.67), (50, 4.40, 19.07)),
    ((45, 55, 35), (45.06, 57.65, 41.21), (45.13, 60.24, 48.87)),
    ((50, -40, 25), (49.95, -35.62, 32.14), (49.91, -31.37, 40.86)),
    ((35, 10, -45), (35.04, 7.30, -35.23), (35.09, 4.55, -23.63)),
    ((68, 18, 20), (68.01, 21.66, 29.85), (68.03, 25.25, 41.75))])
def test_tabled_colours(lab: tuple[float, ...], half: tuple[float, ...],
                        whole: tuple[float, ...]) -> None:
    for degree, expected in ((0.5, half), (1.0, whole)):
        found = xyz_to_lab(lab_to_xyz(lab) @ adaptation_matrix(D50_XYZ, WOOD, degree).T)
        assert np.abs(found - expected).max() < 0.04


@pytest.mark.parametrize("degree", [0.0, 0.3, 0.5, 1.0])
def test_against_the_library(degree: float) -> None:
    xyz = RNG.uniform(0.02, 1.0, (200, 3)) * D50_XYZ
    white = D50_XYZ * 100
    other = WOOD * 100 / WOOD[1]
    theirs = chromatic_adaptation_Zhai2018(xyz * 100, white, other, D_b=degree, D_d=1.0,
                                           XYZ_wo=other, transform="CAT16")
    ours = xyz @ adaptation_matrix(D50_XYZ, WOOD, degree).T
    assert np.abs(ours - theirs / 100).max() < 1e-9


def test_hue_space_against_the_library() -> None:
    xyz = RNG.uniform(0.0, 1.0, (200, 3))
    d65 = np.array([0.95047, 1.0, 1.08883])
    theirs = XYZ_to_IPT(xyz @ adaptation_matrix(D50_XYZ, d65, 1.0).T)
    assert np.abs(xyz_to_lpt(xyz)[:, 1:] / 150 - theirs[:, 1:]).max() < 1e-3


def test_hue_space_and_viewer_come_back() -> None:
    xyz = RNG.uniform(0.01, 1.0, (200, 3)) * D50_XYZ
    assert np.abs(lpt_to_xyz(xyz_to_lpt(xyz)) - xyz).max() < 1e-9
    viewer = print_viewer((74, 6, 26), (7, 3, -1), 0.5)
    assert np.abs(viewer.seen_xyz(viewer.print_lab(xyz)) - xyz).max() < 1e-9
