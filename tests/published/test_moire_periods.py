"""Moiré periods predicted by frequency vectors, against those measured on simulated prints.

The law: two superposed gratings of frequency vectors f1 and f2 beat at k f1 − n f2, for whole
harmonics k and n (textbook law of superposed gratings; I. Amidror, The Theory of the Moiré
Phenomenon, from memory). Two equal gratings turned by a: period p / (2 sin(a / 2)).

Advice on angles and ratios: Sefar, "Questions about half-tone printing" (mesh to ruling 2.5, 3.75
or 5 : 1; 7.5, 22.5, 52.5, 82.5° to the threads; worst 0, 45 and 90°); M. Coudray, "All Things Are
Not as They Appear", 2003 (at least 3.5 to 4 : 1, and no ratio foretells moiré exactly).

Rules, set before measuring: 200 cases drawn from a fixed seed over rulings, angles, meshes, mesh
turns, tones and shapes. A case counts when its strongest expected beat stands at least 6 times
above the eye's threshold and has a period between two halftone periods and 6 mm; others are drawn
again. The patch holds six such periods, and is 14 to 36 mm wide. Measured is the ripple furthest
above the threshold, whatever it is; it is held against the strongest expected beat and any other
expected to be at least 60 % as strong (twins at right angles, mostly).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.halftone_spec import DOT_SHAPE_NAMES, HalftoneSpec
from preflight.mesh import Mesh
from preflight.moire_facts import PLAINLY_SEEN
from separations.moire_simulation.beat_strength import light_of_cover
from separations.moire_simulation.ink_pair_moire import pair_beats, pair_moire
from separations.moire_simulation.mesh_moire import TintInk, expected, expected_times, measured
from separations.moire_simulation.visible_peak import VisiblePeak

LONGEST_MM = 6.0
CLOTHS = ((34, 100), (43, 80), (48, 70), (55, 64), (61, 64), (68, 55), (77, 48), (90, 48),
          (100, 40), (120, 34), (140, 34), (150, 31))


def _drawn(random: np.random.Generator) -> tuple[TintInk, float]:
    count, thread = CLOTHS[random.integers(len(CLOTHS))]
    shape = DOT_SHAPE_NAMES[random.integers(3)]
    spec = HalftoneSpec(ruling_lpcm=random.uniform(14, 32), angle_deg=random.uniform(0, 90),
                        dot_shape=shape, film_dpi=1440)
    mesh = Mesh(threads_per_cm=count, thread_um=thread, angle_deg=random.uniform(-25, 25))
    ink = TintInk(name="Black", spec=spec, mesh=mesh, wood_y=0.46, solid_y=0.03)
    return ink, float(random.uniform(0.2, 0.85))


def _expected_beats(ink: TintInk, tone: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Frequencies (board frame) and multiples of the threshold, strongest first."""
    beats = expected(ink, tone)
    times = beats.times_threshold(light_of_cover(tone, ink.wood_y, ink.solid_y))[0]
    turn = math.radians(ink.mesh.angle_deg)
    x, y = beats.per_mm[0].T
    vectors = np.column_stack([x * math.cos(turn) - y * math.sin(turn),
                               x * math.sin(turn) + y * math.cos(turn)])
    falling = np.argsort(-times)
    return vectors[falling], times[falling]


def test_periods_over_200_cases() -> None:
    """Found: 188 of 200 within 2 %, median 0.13 %, 90 % within 1.2 %; the other 12 another beat.

    Where it is another, the cover answers the ink so unevenly that the first order misjudges
    which of several beats is strongest; 195 are within 2 % of some beat that the law allows.
    """
    random = np.random.default_rng(158)
    errors: list[float] = []
    turned: list[float] = []
    lawful = 0
    while len(errors) < 200:
        ink, tone = _drawn(random)
        vectors, times = _expected_beats(ink, tone)
        period_mm = 1 / max(math.hypot(*vectors[0]), 1e-9)
        if times[0] < 6 or period_mm > LONGEST_MM:
            continue
        peak = measured(ink, tone, min(max(6 * period_mm, 14.0), 36.0))
        away = np.array([min(math.hypot(x - s * peak.x_per_mm, y - s * peak.y_per_mm)
                             for s in (1, -1)) for x, y in vectors])
        near = int(np.argmin(np.where(times >= 0.6 * times[0], away, np.inf)))
        lawful += _off(peak, vectors[int(np.argmin(away))])[0] < 0.02
        period, direction = _off(peak, vectors[near])
        errors.append(period)
        turned.append(direction)
    within = np.sum(np.array(errors) < 0.02)
    assert within >= 186
    assert np.median(errors) < 0.002
    assert np.median(turned) < 0.2
    assert lawful >= 193


def _off(peak: VisiblePeak, vector: NDArray[np.float64]) -> tuple[float, float]:
    """Relative error of the period, and of the direction in degrees."""
    turn = peak.direction_deg - math.degrees(math.atan2(vector[1], vector[0]))
    return (abs(peak.period_mm * math.hypot(*vector) - 1), abs((turn + 90) % 180 - 90))


@pytest.mark.parametrize("turn_deg", [30.0, 15.0, 5.0])
def test_two_equal_halftones_beat_as_the_chord(turn_deg: float) -> None:
    """Closed form p / (2 sin(a / 2)); at 30° that is the rosette, 1.93 periods, no beat of ours."""
    spec = HalftoneSpec(ruling_lpcm=18, angle_deg=22.5, dot_shape="round", film_dpi=1440)
    other = replace(spec, angle_deg=22.5 + turn_deg)
    chord_mm = (10 / 18) / (2 * math.sin(math.radians(turn_deg) / 2))
    lowest = [math.hypot(*f) for f, order in zip(*_pair(spec, other), strict=True)
              if np.abs(order).sum() == 2]
    if turn_deg == 30.0:
        assert chord_mm * 1.8 == pytest.approx(1.932, abs=1e-3)
        assert not lowest
        return
    assert min(lowest) == pytest.approx(1 / chord_mm)
    inks = [TintInk(name="ink", spec=s, mesh=Mesh(threads_per_cm=120, thread_um=34), wood_y=0.46,
                    solid_y=0.05) for s in (spec, other)]
    seen = pair_moire(inks[0], inks[1], both_y=0.05 * 0.05 / 0.46)
    assert seen.period_mm == pytest.approx(chord_mm, rel=0.02)


def _pair(one: HalftoneSpec, other: HalftoneSpec) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    per_mm, _, orders = pair_beats(one, other, 0.5)
    return per_mm, orders


@pytest.mark.parametrize("ratio", [3.75, 5.0])
@pytest.mark.parametrize("angle_deg", [7.5, 22.5, 82.5])
def test_advised_ratios_at_advised_angles_are_not_plainly_seen(ratio: float,
                                                               angle_deg: float) -> None:
    """Found: 21 and 16 times the threshold at 3.75 : 1, 10 and 24 at 5 : 1."""
    assert expected_times(_black(ratio, angle_deg)) < PLAINLY_SEEN


def test_what_the_advice_does_not_clear() -> None:
    """Not all that is advised comes out clear: 2.5 : 1 only near 7.5°, 52.5° only by luck."""
    assert expected_times(_black(2.5, 7.5)) < PLAINLY_SEEN < expected_times(_black(2.5, 22.5))
    assert expected_times(_black(4.5, 52.5)) < PLAINLY_SEEN < expected_times(_black(3.75, 52.5))


def test_angles_advised_against_are_the_worst() -> None:
    """Mean over ratios of 2.5 to 5.5; found 23 at 7.5°, 33 at 22.5°, 44 at 0° and 45 at 45°."""
    means = {angle: np.mean([expected_times(_black(r, angle)) for r in np.arange(2.5, 5.5, 0.1)])
             for angle in (0.0, 7.5, 22.5, 45.0)}
    assert max(means[7.5], means[22.5]) < 0.85 * min(means[0.0], means[45.0])


def test_the_finer_the_mesh_the_weaker_the_moire() -> None:
    angles = np.arange(0.0, 46.0, 7.5)
    means = [np.mean([expected_times(_black(r, a)) for a in angles for r in (whole, whole + 0.5)])
             for whole in (2.0, 4.0, 6.0)]
    assert means[0] > 1.1 * means[1]
    assert means[1] > 1.5 * means[2]


def _black(ratio: float, angle_deg: float) -> TintInk:
    spec = HalftoneSpec(ruling_lpcm=120 / ratio, angle_deg=angle_deg, dot_shape="round",
                        film_dpi=1440)
    return TintInk(name="Black", spec=spec, mesh=Mesh(threads_per_cm=120, thread_um=34),
                   wood_y=0.46, solid_y=0.03)
