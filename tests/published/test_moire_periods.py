"""Moiré periods predicted by frequency vectors, against those measured on simulated prints.

The law: two superposed gratings of frequency vectors f1 and f2 beat at k f1 − n f2, for whole
harmonics k and n (textbook law of superposed gratings; I. Amidror, The Theory of the Moiré
Phenomenon, from memory). Two equal gratings turned by a: period p / (2 sin(a / 2)).

Advice on angles and ratios: Sefar, "Questions about half-tone printing" (mesh to ruling 2.5, 3.75
or 5 : 1; 7.5, 22.5, 52.5, 82.5° to the threads; worst 0, 45 and 90°); M. Coudray, "All Things Are
Not as They Appear", 2003 (at least 3.5 to 4 : 1, and no ratio predicts moiré exactly).

Rules: 200 cases drawn from a fixed seed over rulings, angles, meshes, mesh turns, tones and
shapes. Expected are all beats of the tint with its cloth, each as strong as the Fourier coefficient
of the whole print over the phases of dots and cloth has it (the dots' own shape at that tone, the
threads' own shape, flow and threshold). A case counts when its strongest expected beat stands at
least 6 times above the eye's threshold and has a period between 2.1 halftone periods and 6 mm;
others are drawn again. (Nearer to two periods a beat can hardly be parted from its mirror image
about half the ruling, which is none of those told.) The patch holds six such periods, and six of
what parts the strongest beat from each other of a tenth of its strength, and is 18 to 36 mm wide.
Measured is the ripple furthest above the threshold, whatever it is; it is held against the
strongest expected beat and any other expected to be at least 60 % as strong (twins at right
angles, mostly).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.facts.moire_facts import PLAINLY_SEEN
from preflight.press.halftone_spec import HalftoneSpec
from preflight.press.mesh import Mesh
from separations.measuring.moire.beat_spectrum import beat_spectrum
from separations.measuring.moire.beat_strength import beats_at_angles, light_of_cover
from separations.measuring.moire.ink_pair_moire import pair_beats, pair_moire
from separations.measuring.moire.mesh_moire import TintInk, expected, expected_times, measured
from separations.measuring.moire.visible_peak import VisiblePeak

LONGEST_MM = 6.0
CLOTHS = ((34, 100), (43, 80), (48, 70), (55, 64), (61, 64), (68, 55), (77, 48), (90, 48),
          (100, 40), (120, 34), (140, 34), (150, 31))


def _drawn(random: np.random.Generator) -> tuple[TintInk, float]:
    count, thread = CLOTHS[random.integers(len(CLOTHS))]
    shape = ("round", "elliptical", "square")[random.integers(3)]
    spec = HalftoneSpec(ruling_lpcm=random.uniform(14, 32), angle_deg=random.uniform(0, 90),
                        dot_shape=shape, film_dpi=1440)
    mesh = Mesh(threads_per_cm=count, thread_um=thread, angle_deg=random.uniform(-25, 25))
    ink = TintInk(name="Black", spec=spec, mesh=mesh, wood_y=0.46, solid_y=0.03)
    return ink, float(random.uniform(0.2, 0.85))


def _expected_beats(ink: TintInk, tone: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Frequencies (board frame) and multiples of the threshold, strongest first."""
    beats = expected(ink, tone)
    times = beats.times_threshold(light_of_cover(tone, ink.wood_y, ink.solid_y))
    falling = np.argsort(-times)
    return beats.per_mm[falling], times[falling]


def _side_mm(vectors: NDArray[np.float64], times: NDArray[np.float64]) -> float:
    """A patch that parts the strongest beat from what might be taken for it."""
    others = vectors[1:][times[1:] > 0.1 * times[0]]
    apart = np.array([min(math.hypot(*(other - s * vectors[0])) for s in (1, -1))
                      for other in others])
    widest = 6 / min([math.hypot(*vectors[0]), *apart[apart > 1e-6]])
    return float(min(max(widest, 18.0), 36.0))


@pytest.mark.long
def test_periods_over_200_cases() -> None:
    """Found: 199 of 200 within 2 %, median 0.05 %, 95 % within 0.5 %, directions within 0.2°.

    The one other is no beat with the cloth: high harmonics of the dots beat there with the film's
    own pixels, and at 2880 dpi the print shows what was expected.
    """
    random = np.random.default_rng(158)
    errors: list[float] = []
    turned: list[float] = []
    strengths: list[float] = []
    while len(errors) < 200:
        ink, tone = _drawn(random)
        vectors, times = _expected_beats(ink, tone)
        period_mm = 1 / max(math.hypot(*vectors[0]), 1e-9)
        if times[0] < 6 or not 21 / ink.spec.ruling_lpcm <= period_mm <= LONGEST_MM:
            continue
        peak = measured(ink, tone, _side_mm(vectors, times))
        away = np.array([min(math.hypot(x - s * peak.x_per_mm, y - s * peak.y_per_mm)
                             for s in (1, -1)) for x, y in vectors])
        near = int(np.argmin(np.where(times >= 0.6 * times[0], away, np.inf)))
        period, direction = _off(peak, vectors[near])
        if period >= 0.02:
            fine = replace(ink, spec=replace(ink.spec, film_dpi=2880))
            again = measured(fine, tone, _side_mm(vectors, times))
            assert min(_off(again, v)[0] for v in vectors[times >= 0.6 * times[0]]) < 0.02
        errors.append(period)
        turned.append(direction)
        strengths.append(peak.times_threshold / times[near])
    assert np.sum(np.array(errors) < 0.02) >= 199
    assert np.median(errors) < 0.001
    assert np.percentile(errors, 95) < 0.006
    assert np.percentile(turned, 95) < 0.5
    # How strong: nine in ten within a quarter, the rest mostly stronger than expected.
    low, middle, high = np.percentile(strengths, [5, 50, 90])
    assert low > 0.8
    assert middle == pytest.approx(1, abs=0.05)
    assert high < 1.3


def test_the_first_order_takes_another_beat_for_the_strongest_where_the_print_decides() -> None:
    """A case of the 200: tone 67 %, round dots of 23.7 l/cm at 20.1° on 43-80 turned by −4.3°.

    In first order the strongest beat has 1.03 mm; the print, and all orders, have 0.98 mm.
    """
    spec = HalftoneSpec(ruling_lpcm=23.7, angle_deg=20.1, dot_shape="round", film_dpi=1440)
    mesh = Mesh(threads_per_cm=43, thread_um=80, angle_deg=-4.3)
    ink = TintInk(name="Black", spec=spec, mesh=mesh, wood_y=0.46, solid_y=0.03)
    light = light_of_cover(0.67, 0.46, 0.03)
    first = beats_at_angles("round", 23.7, 0.67, mesh, np.array([24.4]))
    best = int(np.argmax(first.times_threshold(light)[0]))
    first_mm = 1 / math.hypot(*first.per_mm[0, best])
    vectors, _ = _expected_beats(ink, 0.67)
    seen = measured(ink, 0.67, 20.0)
    assert abs(first_mm / seen.period_mm - 1) > 0.03
    assert 1 / math.hypot(*vectors[0]) == pytest.approx(seen.period_mm, rel=0.005)


@pytest.mark.parametrize("tone", [0.3, 0.6, 0.85])
def test_more_phases_move_the_strong_beats_little(tone: float) -> None:
    spec = HalftoneSpec(ruling_lpcm=18, angle_deg=22.5, dot_shape="elliptical", film_dpi=1440)
    mesh = Mesh(threads_per_cm=61, thread_um=64)
    one, more = (beat_spectrum(spec, mesh, tone, finer=f) for f in (1, 2))
    strongest = int(np.argmax(more.cover))
    same = np.flatnonzero((one.dot_orders == more.dot_orders[strongest]).all(axis=1)
                          & (one.cloth_halves == more.cloth_halves[strongest]).all(axis=1))
    assert one.cover[same[0]] == pytest.approx(more.cover[strongest], rel=0.05)


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
