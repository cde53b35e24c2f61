"""Colour coordinates go there and back."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from separations.colour import colorimetry as c

SHARE = st.floats(0.0, 1.0, allow_subnormal=False)


@given(SHARE, SHARE, SHARE)
def test_srgb_there_and_back(red: float, green: float, blue: float) -> None:
    rgb = np.array([red, green, blue])
    assert np.allclose(c.lab_to_srgb(c.xyz_to_lab(c.srgb_to_xyz(rgb))), rgb, atol=1e-9)


@given(st.floats(0.0, 100.0), st.floats(-100.0, 100.0), st.floats(-100.0, 100.0))
def test_lab_there_and_back(light: float, a: float, b: float) -> None:
    lab = np.array([light, a, b])
    assert np.allclose(c.xyz_to_lab(c.lab_to_xyz(lab)), lab, atol=1e-9)


def test_wide_rgb_there_and_back_in_any_shape() -> None:
    xyz = np.random.default_rng(1).random((2, 3, 4, 3))
    assert np.allclose(c.wide_rgb_to_xyz(c.xyz_to_wide_rgb(xyz)), xyz, atol=1e-12)


def test_wide_rgb_holds_process_cyan() -> None:
    """The reason for wide channels: a cyan solid is negative red in sRGB, not here."""
    cyan = c.lab_to_xyz([55.0, -37.0, -50.0])
    assert (c.xyz_to_wide_rgb(cyan) > 0.05).all()
    assert c.xyz_to_srgb(cyan)[0] == 0.0


def test_difference_broadcasts() -> None:
    labs = np.array([[50.0, 0.0, 0.0], [52.0, 1.0, 0.0]])
    assert c.colour_difference(labs, labs[0]).shape == (2,)
    assert c.colour_difference(labs, labs[0])[0] == 0.0
