"""Beats by their spectra, against sums written out."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.facts.moire_facts import FINEST_BEAT_PERIODS
from preflight.press.halftone_spec import DotShape, HalftoneSpec
from preflight.press.mesh import Mesh
from separations.halftone.spot_levels import levelled_spot
from separations.measuring.moire.beat_spectrum import beat_spectrum
from separations.measuring.moire.beat_strength import beats_at_angles, dot_waves
from separations.measuring.moire.cloth import cloth_waves, flow_um
from separations.measuring.moire.printed_patch import EDGE_SOFTNESS

MESH = Mesh(threads_per_cm=61, thread_um=64)


def _summed(shape: DotShape, ruling_lpcm: float, tone: float, mesh: Mesh,
            angles_deg: NDArray[np.float64]) -> NDArray[np.float64]:
    """Amplitudes of cover, each beat one sum over the dots' harmonics."""
    per_mm = ruling_lpcm / 10
    flow = -2 * (math.pi * flow_um(mesh) / 1000 * per_mm) ** 2
    dots = dot_waves(shape, tone)
    orders = np.fft.fftfreq(64, 1 / 64)
    film = np.fft.ifft2(dots * np.exp(flow * (orders[:, None]**2 + orders**2))).real * 64**2
    edges = np.fft.fft2((np.abs(film - 0.5) < EDGE_SOFTNESS / 2) / EDGE_SOFTNESS) / 64**2
    k, j = np.meshgrid(np.arange(-11, 12), np.arange(-11, 12), indexing="ij")
    waves = cloth_waves(mesh)
    found = np.zeros((len(angles_deg), len(waves.amplitudes)))
    for row, turn in enumerate(np.radians(angles_deg)):
        for column, (x, y) in enumerate(waves.per_mm / per_mm):
            along = math.cos(turn) * x + math.sin(turn) * y
            across = -math.sin(turn) * x + math.cos(turn) * y
            near = -round(along), -round(across)
            if math.hypot(along + near[0], across + near[1]) * FINEST_BEAT_PERIODS >= 1:
                continue
            flown = np.exp(flow * ((k + along)**2 + (j + across)**2))
            total = (edges[(near[0] - k) % 64, (near[1] - j) % 64] * flown * dots[k, j]).sum()
            found[row, column] = 2 * abs(total * waves.amplitudes[column])
    return found


@pytest.mark.parametrize("shape", ["round", "elliptical", "square", "line", "euclidean", "diamond"])
def test_each_beat_is_the_sum_over_harmonics(shape: DotShape) -> None:
    angles = np.array([0.0, 7.5, 24.4, -38.0])
    beats = beats_at_angles(shape, 19.3, 0.37, MESH, angles)
    assert np.count_nonzero(beats.cover) > (2 if shape == "line" else 20)
    assert beats.cover == pytest.approx(_summed(shape, 19.3, 0.37, MESH, angles), abs=1e-12)


def test_tints_asked_for_again_and_between_others_are_the_same() -> None:
    angles = np.array([7.5, 31.0])
    first = beats_at_angles("round", 18.0, 0.5, MESH, angles).cover
    for ruling in np.linspace(12, 30, 20):
        beats_at_angles("round", float(ruling), 0.3, MESH, angles)
    assert np.array_equal(beats_at_angles("round", 18.0, 0.5, MESH, angles).cover, first)


@pytest.mark.parametrize("shape", ["round", "elliptical", "square", "line", "euclidean", "diamond"])
def test_waves_of_dots_are_those_of_a_drawn_cell(shape: DotShape) -> None:
    steps = np.arange(256) / 256
    u, v = np.meshgrid(steps, steps, indexing="ij")
    spot = levelled_spot(shape)
    for tone in (0.15, 0.5, 0.83):
        inked = spot.height(u, v) > spot.level_of_cover(np.array([tone]))[0]
        whole = np.fft.fft2(inked) / inked.size
        waves = dot_waves(shape, tone)
        for k, j in ((0, 0), (1, 0), (0, 1), (1, -1), (-3, 7), (31, -32)):
            assert complex(waves[k, j]) == pytest.approx(complex(whole[k, j]), abs=1e-14)


def test_the_turn_of_a_cloth_is_no_matter_in_its_own_frame() -> None:
    straight, turned = cloth_waves(MESH), cloth_waves(replace(MESH, angle_deg=22.5))
    assert np.array_equal(straight.per_mm, turned.per_mm)
    assert np.array_equal(straight.amplitudes, turned.amplitudes)


def test_spectra_of_turned_cloths_are_kept_apart() -> None:
    spec = HalftoneSpec(ruling_lpcm=18, angle_deg=22.5, dot_shape="round", film_dpi=1440)
    angles = (0.0, 5.0, 10.0)
    alone = []
    for angle in angles:
        turned = replace(spec, angle_deg=22.5 - angle)
        alone.append(beat_spectrum(turned, MESH, 0.5))
    for angle, other in zip(angles, alone, strict=True):
        # Cloth and dots turned together beat alike.
        both = beat_spectrum(spec, replace(MESH, angle_deg=angle), 0.5)
        beat_spectrum(spec, replace(MESH, angle_deg=angle), 0.3)
        again = beat_spectrum(spec, replace(MESH, angle_deg=angle), 0.5)
        assert np.array_equal(again.cover, both.cover)
        assert np.sort(both.cover)[-20:] == pytest.approx(np.sort(other.cover)[-20:], rel=1e-5)
        lengths = [np.sort(np.hypot(*beats.per_mm.T)) for beats in (both, other)]
        assert lengths[0] == pytest.approx(lengths[1], abs=1e-9)
