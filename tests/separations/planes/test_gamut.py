"""How much of a photograph is out of reach."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from separations.planes.gamut import gamut_report
from separations.planes.ink_lattice import InkLattice


def lattice_missing_reds() -> InkLattice:
    """Prints everything but misses red r (0 to 1) by 10 r in dE00."""
    steps = np.linspace(0.0, 1.0, 33, dtype=np.float32)
    missed = np.broadcast_to(10.0 * steps[:, None, None], (33, 33, 33))
    return InkLattice(
        ink_names=("a",), nodes=np.zeros((33, 33, 33, 1), np.uint16),
        node_wanted_lab=np.zeros((33, 33, 33, 3), np.float32), node_difference=missed,
        node_seen_light=np.zeros((33, 33, 33), np.float32),
        tone_sum_limit=1.0, smallest_tone=np.zeros(1), largest_tone=np.ones(1), small_dots="drop")


def test_figures_of_a_ramp() -> None:
    rgb = np.zeros((3, 256, 3), np.uint8)
    rgb[..., 0] = np.arange(256)
    rgb[..., 1] = 77
    report = gamut_report(rgb, lattice_missing_reds())
    assert report.difference.shape == (3, 256)
    assert np.allclose(report.difference, 10.0 * rgb[..., 0] / 255.0, atol=1e-3)
    assert report.share_out == pytest.approx(0.8, abs=0.01)
    assert report.mean_difference == pytest.approx(5.0, abs=0.01)
    assert report.high_difference == pytest.approx(9.5, abs=0.05)
    assert report.largest_difference == pytest.approx(10.0, abs=0.01)


def test_only_what_counts_is_counted() -> None:
    rgb = np.zeros((2, 10, 3), np.uint8)
    rgb[0, :, 0] = 255
    cover = np.zeros((2, 10), np.bool_)
    cover[1] = True
    assert gamut_report(rgb, lattice_missing_reds(), cover=cover).share_out == 0.0
    assert gamut_report(rgb, lattice_missing_reds(), cover=~cover).share_out == 1.0
    nothing = gamut_report(rgb, lattice_missing_reds(), cover=np.zeros((2, 10), np.bool_))
    assert nothing.largest_difference == 0.0


def test_a_lattice_that_misses_nothing() -> None:
    lattice = replace(lattice_missing_reds(), node_difference=np.zeros((33, 33, 33), np.float32))
    rgb = np.random.default_rng(1).integers(0, 65536, (20, 20, 3), dtype=np.uint16)
    assert gamut_report(rgb, lattice).largest_difference == 0.0
