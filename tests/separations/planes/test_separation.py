"""Photographs to planes: interpolation, limits, ends of the tone scale."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import RegularGridInterpolator

from preflight.press.halftone_spec import SmallDots
from separations.planes.ink_lattice import InkLattice
from separations.planes.separation import separate, separate_over


def made_lattice(inks: int = 3, *, seed: int = 0, limit: float = 1.5) -> InkLattice:
    """A lattice of random tones under a limit; nothing about it is smooth."""
    rng = np.random.default_rng(seed)
    tones = rng.random((33, 33, 33, inks))
    tones *= np.minimum(1.0, limit / tones.sum(axis=-1, keepdims=True))
    tones[-1, -1, -1] = 0.0
    return InkLattice(
        ink_names=tuple("abcdefgh"[:inks]), nodes=(tones * 65535).astype(np.uint16),
        node_wanted_lab=np.zeros((33, 33, 33, 3), np.float32),
        node_difference=np.zeros((33, 33, 33), np.float32),
        node_seen_light=np.zeros((33, 33, 33), np.float32), tone_sum_limit=limit,
        smallest_tone=np.zeros(inks), largest_tone=np.ones(inks), small_dots="drop")


def affine_lattice() -> InkLattice:
    """Tones that are affine in RGB: any right interpolation gives them back exactly."""
    steps = np.linspace(0.0, 1.0, 33)
    red, green, blue = np.meshgrid(steps, steps, steps, indexing="ij")
    tones = np.stack([1.0 - red, 0.5 * (1.0 - green) + 0.25 * blue], axis=-1)
    return replace(made_lattice(2, limit=2.0), nodes=np.rint(tones * 65535).astype(np.uint16))


def wedge(levels: int = 256) -> np.ndarray:
    """A neutral ramp, white to black, one row of uint16."""
    ramp = np.linspace(65535, 0, levels).round().astype(np.uint16)
    return np.repeat(ramp[None, :, None], 3, axis=2)


def grey_lattice(*, smallest: float, largest: float = 1.0,
                 small_dots: SmallDots = "drop") -> InkLattice:
    """One ink, tone = darkness."""
    steps = np.linspace(0.0, 1.0, 33)
    light = np.stack(np.meshgrid(steps, steps, steps, indexing="ij")).mean(axis=0)
    return replace(made_lattice(1, limit=1.0),
                   nodes=np.rint((1.0 - light[..., None]) * 65535).astype(np.uint16),
                   smallest_tone=np.array([smallest]), largest_tone=np.array([largest]),
                   small_dots=small_dots)


def test_affine_tones_come_back() -> None:
    rgb = np.random.default_rng(1).integers(0, 256, (40, 50, 3), dtype=np.uint8)
    planes = separate(rgb, affine_lattice())
    share = rgb / 255.0
    assert np.abs(planes[0] / 65535.0 - (1.0 - share[..., 0])).max() < 5e-5
    assert np.abs(planes[1] / 65535.0
                  - (0.5 * (1.0 - share[..., 1]) + 0.25 * share[..., 2])).max() < 5e-5


def test_nodes_come_back_exactly() -> None:
    lattice = made_lattice()
    levels = np.arange(33) * 65535 / 32
    assert not (levels % 1.0 == 0.0).all()
    corners = np.array([[0, 0, 0], [255, 0, 0], [0, 255, 255], [255, 255, 255]], np.uint8)
    planes = separate(corners[None], lattice)
    assert planes[:, 0].T.tolist() == [
        lattice.nodes[tuple(corner.astype(int) // 255 * 32)].tolist() for corner in corners]


def test_neutral_pixels_use_neutral_nodes_alone() -> None:
    lattice = made_lattice()
    line = np.arange(33)
    only = np.zeros_like(lattice.nodes)
    only[line, line, line] = lattice.nodes[line, line, line]
    grey = wedge()
    assert np.array_equal(separate(grey, lattice), separate(grey, replace(lattice, nodes=only)))
    straight = RegularGridInterpolator((line / 32,), lattice.nodes[line, line, line].astype(float))
    assert np.abs(separate(grey, lattice)[:, 0].T - straight(grey[0, :, :1] / 65535.0)).max() < 4


@given(st.integers(0, 2**32 - 1), st.floats(0.4, 2.9))
def test_sums_hold_for_any_picture(seed: int, limit: float) -> None:
    lattice = replace(made_lattice(4, seed=seed % 5, limit=limit),
                      smallest_tone=np.full(4, 0.05), largest_tone=np.full(4, 0.9))
    rgb = np.random.default_rng(seed).integers(0, 65536, (8, 40, 3), dtype=np.uint16)
    for small_dots in ("drop", "hold"):
        planes = separate(rgb, replace(lattice, small_dots=small_dots))
        assert planes.astype(np.int64).sum(axis=0).max() <= limit * 65535


def test_eight_and_sixteen_bits_agree() -> None:
    rgb = np.random.default_rng(2).integers(0, 256, (30, 30, 3), dtype=np.uint8)
    lattice = made_lattice()
    wide = separate(rgb.astype(np.uint16) * 257, lattice)
    assert np.abs(wide.astype(int) - separate(rgb, lattice)).max() <= 8


def test_pictures_may_be_cut_into_bands() -> None:
    rgb = np.random.default_rng(3).integers(0, 256, (700, 300, 3), dtype=np.uint8)
    lattice = made_lattice()
    whole = separate(rgb, lattice)
    parts = [separate(rgb[row : row + 99], lattice) for row in range(0, 700, 99)]
    assert np.array_equal(whole, np.concatenate(parts, axis=1))


@pytest.mark.parametrize("small_dots", ["drop", "hold"])
def test_no_dot_that_will_not_print(small_dots: SmallDots) -> None:
    lattice = grey_lattice(smallest=0.04, largest=0.92, small_dots=small_dots)
    tones = separate(wedge(4096), lattice)[0, 0] / 65535.0
    printing = tones[(tones > 0.0) & (tones < 1.0)]
    assert printing.min() == pytest.approx(0.04, abs=1e-4)
    assert printing.max() == pytest.approx(0.92, abs=1e-4)
    assert tones[0] == 0.0
    assert tones[-1] == 1.0
    assert (np.diff(tones) >= 0.0).all()


def test_dropping_keeps_the_mean_and_takes_the_least_step() -> None:
    tones = separate(wedge(4096), grey_lattice(smallest=0.04))[0, 0] / 65535.0
    asked = np.linspace(0.0, 1.0, 4096)
    fade = asked < 0.04
    assert tones[fade].mean() == pytest.approx(asked[fade].mean(), rel=0.02)
    assert np.diff(tones).max() == pytest.approx(0.04, abs=1e-4)
    assert np.array_equal(tones[asked > 0.0401], separate(
        wedge(4096), grey_lattice(smallest=0.0))[0, 0][asked > 0.0401] / 65535.0)


def test_holding_keeps_dots_further_out_than_dropping() -> None:
    held = separate(wedge(4096), grey_lattice(smallest=0.04, small_dots="hold"))[0, 0]
    dropped = separate(wedge(4096), grey_lattice(smallest=0.04))[0, 0]
    assert (held > 0).sum() > (dropped > 0).sum() + 40
    assert held[0] == 0


@pytest.mark.parametrize("rgb", [np.zeros((4, 4, 3), np.float32), np.zeros((4, 4), np.uint8),
                                 np.zeros((4, 4, 4), np.uint8)])
def test_other_pictures_are_refused(rgb: np.ndarray) -> None:
    with pytest.raises(ValueError, match="uint8 or uint16"):
        separate(rgb, made_lattice())


def test_a_photograph_is_laid_over_what_is_there_as_far_as_it_covers() -> None:
    random = np.random.default_rng(4)
    lattice = made_lattice(3)
    rgb = random.integers(0, 256, (150, 90, 3), np.uint8)
    cover = random.integers(0, 256, rgb.shape[:2], np.uint8)
    cover[:70], cover[140:] = 255, 0
    cover[100:120, ::3], cover[100:120, 1::3] = 0, 255
    beneath = random.integers(0, 65536, (3, *cover.shape), np.uint16)
    planes = beneath.copy()
    separate_over(planes, rgb, cover, lattice)
    share = cover.astype(np.float64) / 255
    mixed = beneath * (1 - share) + separate(rgb, lattice) * share
    assert np.abs(planes - mixed).max() <= 0.51  # rounded to nearest, in single precision
    assert np.array_equal(planes[:, :70], separate(rgb[:70], lattice))
    assert np.array_equal(planes[:, 140:], beneath[:, 140:])
