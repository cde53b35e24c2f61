"""Tints printed through cloth, in simulation."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from preflight.facts.moire_facts import SEEN_WHEN_LOOKED_FOR
from preflight.press.halftone_spec import HalftoneSpec
from preflight.press.mesh import Mesh
from separations.measuring.moire.clear_settings import clear_settings
from separations.measuring.moire.cloth import bar_share, cloth_waves, opening_at
from separations.measuring.moire.mesh_moire import (
    TintInk,
    at,
    expected_times,
    measured,
    mesh_moire,
)
from separations.measuring.moire.printed_patch import (
    forget_patches,
    ink_passed,
    printed_tint,
)
from separations.measuring.moire.visible_peak import visible_peak

COARSE = Mesh(threads_per_cm=43, thread_um=80)
FINE = Mesh(threads_per_cm=120, thread_um=34, angle_deg=10.0)


def _ink(mesh: Mesh, angle_deg: float = 22.5, solid_y: float = 0.03) -> TintInk:
    spec = HalftoneSpec(ruling_lpcm=18, angle_deg=angle_deg, dot_shape="elliptical",
                        film_dpi=1440, smallest_tone=0.02, largest_tone=0.98)
    return TintInk(name="Black", spec=spec, mesh=mesh, wood_y=0.46, solid_y=solid_y)


@pytest.mark.parametrize("mesh", [COARSE, FINE])
def test_cloth_is_as_open_as_it_is_said_to_be(mesh: Mesh) -> None:
    steps = np.arange(512) / 256
    s, t = np.meshgrid(steps, steps, indexing="ij")
    assert opening_at(s, t, bar_share(mesh), 1 / 256).mean() == pytest.approx(mesh.open_area,
                                                                             rel=0.02)


@pytest.mark.parametrize("mesh", [COARSE, FINE])
def test_compiled_cloth_is_the_cloth_of_the_formula(mesh: Mesh) -> None:
    solid = np.full((512, 64), 255, np.uint8)
    ink = ink_passed(solid, mesh, 0.01)
    assert float(ink.mean()) == pytest.approx(1.0, rel=0.03)
    straight = replace(mesh, angle_deg=0.0)
    place = (np.arange(512) - 255.5) * 0.01 * mesh.threads_per_cm / 10
    s, t = np.meshgrid(-place, -place, indexing="ij")
    formula = opening_at(s, t, bar_share(mesh), 0.01 * mesh.threads_per_cm / 10)
    got = ink_passed(solid, straight, 0.01) * (1 - bar_share(mesh)) ** 2
    assert np.abs(got - formula).max() < 0.02


@pytest.mark.parametrize("mesh", [COARSE, FINE])
def test_ink_passes_the_cloth_at_the_dots_and_nowhere_else(mesh: Mesh) -> None:
    dots = np.random.default_rng(3).integers(0, 256, (40, 9), np.uint8)
    solid = ink_passed(np.full_like(dots, 255), mesh, 0.02)
    bits = np.unpackbits(dots, axis=1).astype(np.bool_)
    assert np.array_equal(ink_passed(dots, mesh, 0.02), np.where(bits, solid, 0))
    assert solid.any()


def test_patches_are_the_same_after_they_are_forgotten() -> None:
    spec = _ink(FINE).spec
    first = printed_tint(spec, FINE, 0.4, 128)
    printed_tint(spec, COARSE, 0.4, 128)
    printed_tint(spec, FINE, 0.6, 136)
    assert np.array_equal(printed_tint(spec, FINE, 0.4, 128), first)
    forget_patches()
    assert np.array_equal(printed_tint(spec, FINE, 0.4, 128), first)


def test_weave_shows_at_half_the_count_along_the_diagonal() -> None:
    waves = cloth_waves(COARSE)
    odd = [abs(a) for a, h in zip(waves.amplitudes, waves.halves, strict=True) if h.any() and
           (h % 2).all()]
    first = max(abs(waves.amplitudes))
    assert 0.0 < max(odd) < 0.2 * first


@pytest.mark.parametrize("mesh", [COARSE, FINE])
def test_solids_close_and_clear_film_stays_clear(mesh: Mesh) -> None:
    spec = _ink(mesh).spec
    assert printed_tint(spec, mesh, 1.0, 512)[40:-40, 40:-40].min() > 0.95
    assert printed_tint(spec, mesh, 0.0, 512).max() == 0.0


def test_a_known_ripple_is_read_exactly() -> None:
    pixel_mm, side = 0.02, 800
    place = -(np.arange(side) - (side - 1) / 2) * pixel_mm
    x, y = place[:, None], place[None, :]
    wave = np.cos(2 * np.pi * (0.31 * x + 0.47 * y))
    peak = visible_peak((0.4 * (1 + 0.02 * wave)).astype(np.float32), pixel_mm, 1.0)
    assert peak.period_mm == pytest.approx(1 / np.hypot(0.31, 0.47), rel=1e-3)
    assert peak.direction_deg == pytest.approx(np.degrees(np.arctan2(0.47, 0.31)), abs=0.1)
    assert peak.modulation == pytest.approx(0.02, rel=0.02)


def test_an_even_tint_without_ripple_shows_none() -> None:
    assert visible_peak(np.full((800, 800), 0.3, np.float32), 0.02, 1.0).times_threshold < 0.01


def test_turning_dots_and_mesh_together_turns_the_beat_alone() -> None:
    ink = _ink(COARSE)
    turned = at(ink, angle_deg=22.5 + 13.0, mesh_deg=13.0)
    one, other = (measured(i, 0.5, 24.0) for i in (ink, turned))
    assert other.period_mm == pytest.approx(one.period_mm, rel=0.01)
    assert (other.direction_deg - one.direction_deg) % 180 == pytest.approx(13.0, abs=0.5)
    assert other.times_threshold == pytest.approx(one.times_threshold, rel=0.1)


def test_coarse_cloth_is_told_and_fine_cloth_is_not() -> None:
    coarse, fine = mesh_moire(_ink(COARSE)), mesh_moire(_ink(FINE))
    assert coarse.times_threshold > 3 * SEEN_WHEN_LOOKED_FOR
    assert coarse.tones_seen
    assert "against the threads" in coarse.order
    assert fine.times_threshold < SEEN_WHEN_LOOKED_FOR
    assert not fine.tones_seen


def test_a_pale_ink_hides_what_black_shows() -> None:
    pale = mesh_moire(_ink(COARSE, solid_y=0.42))
    assert pale.times_threshold < 0.1 * mesh_moire(_ink(COARSE)).times_threshold


def test_settings_said_to_clear_do_clear() -> None:
    ink = _ink(Mesh(threads_per_cm=77, thread_um=48), angle_deg=0.0)
    assert mesh_moire(ink).times_threshold > SEEN_WHEN_LOOKED_FOR
    told = clear_settings(ink, [])
    assert told
    angle = next(setting.value for setting in told if setting.what == "angle")
    assert mesh_moire(at(ink, angle_deg=angle)).times_threshold < SEEN_WHEN_LOOKED_FOR
    assert expected_times(at(ink, angle_deg=angle)) < SEEN_WHEN_LOOKED_FOR


def test_a_strong_beat_changes_by_a_fifth_with_the_flow(monkeypatch: pytest.MonkeyPatch) -> None:
    seen = []
    for threads in (0.75, 1.0):
        monkeypatch.setattr("separations.measuring.moire.cloth.FLOW_THREADS", threads)
        seen.append(measured(_ink(COARSE), 0.5, 18.0).times_threshold)
    assert seen[1] == pytest.approx(seen[0], rel=0.3)
