"""The strongest beat of two inks' halftones laid on each other."""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.facts.moire_facts import FINEST_BEAT_PERIODS, SEEN_WHEN_LOOKED_FOR, MoireFacts
from preflight.press.contrast_sensitivity import sensitivity_to
from preflight.press.halftone_spec import HalftoneSpec
from preflight.units import MM_PER_INCH
from separations.measuring.moire.beat_strength import dot_waves
from separations.measuring.moire.mesh_moire import (
    LEAST_SIDE_MM,
    MOST_SIDE_MM,
    TintInk,
    side_pixels,
)
from separations.measuring.moire.printed_patch import tint_dots
from separations.measuring.moire.visible_peak import LEAST_PERIODS, VisiblePeak, visible_peak

_MOST_HARMONIC = 4
_PERIODS = 6.0
_TONES = (0.3, 0.5, 0.7)


def pair_beats(one: HalftoneSpec, other: HalftoneSpec, tone: float) -> tuple[
        NDArray[np.float64], NDArray[np.float64], NDArray[np.int64]]:
    """Beats of two tints of one tone, by their spectra.

    Returns
    -------
    per_mm : NDArray of float64, shape (N, 2)
        Beat frequencies in the board frame.
    overlap : NDArray of float64, shape (N,)
        Amplitude of the area where both inks lie (0 to 1).
    orders : NDArray of int64, shape (N, 4)
        Harmonics of the first and of the second halftone.
    """
    steps = np.arange(-_MOST_HARMONIC, _MOST_HARMONIC + 1)
    k, j = (o.ravel() for o in np.meshgrid(steps, steps, indexing="ij"))
    half = (k > 0) | ((k == 0) & (j > 0))
    whole = (k != 0) | (j != 0)
    first, second = _vectors(one, k, j)[half], _vectors(other, k, j)[whole]
    per_mm = first[:, None] + second[None]
    strength = 2 * np.abs(dot_waves(one.dot_shape, tone)[k, j][half][:, None]
                          * dot_waves(other.dot_shape, tone)[k, j][whole])
    most = min(one.ruling_lpcm, other.ruling_lpcm) / 10 / FINEST_BEAT_PERIODS
    seen = np.hypot(per_mm[..., 0], per_mm[..., 1]) < most
    rows, columns = np.nonzero(seen)
    orders = np.column_stack([k[half][rows], j[half][rows], k[whole][columns], j[whole][columns]])
    return per_mm[seen], strength[seen], orders


def pair_moire(one: TintInk, other: TintInk, both_y: float) -> MoireFacts:
    """Lay two inks' tints on each other and tell the beat that is seen best.

    Parameters
    ----------
    one, other : TintInk
        The inks; ``wood_y`` is common to both.
    both_y : float
        Luminous reflectance where both solids lie.

    Notes
    -----
    The tint expected to beat most is simulated; expectation and simulation agree closely here.
    """
    hopes = [float(_expected(one, other, both_y, t)[1].max(initial=0.0)) for t in _TONES]
    tone = _TONES[int(np.argmax(hopes))]
    peak = _measured(one, other, both_y, tone)
    seen = tuple(t for t, times in zip(_TONES, hopes, strict=True)
                 if times >= SEEN_WHEN_LOOKED_FOR)
    return MoireFacts(
        partner="ink", inks=(one.name, other.name), period_mm=peak.period_mm,
        direction_deg=peak.direction_deg, contrast=peak.modulation,
        times_threshold=peak.times_threshold, tone=tone, tones_seen=seen)


def expected_pair_times(one: TintInk, other: TintInk, both_y: float) -> float:
    """Multiples of the threshold of the strongest expected beat of a pair."""
    return max(float(_expected(one, other, both_y, tone)[1].max(initial=0.0)) for tone in _TONES)


def _expected(one: TintInk, other: TintInk, both_y: float, tone: float) -> tuple[
        NDArray[np.float64], NDArray[np.float64]]:
    """Beat vectors and multiples of the threshold; endless waves count as nothing."""
    per_mm, overlap, _ = pair_beats(one.spec, other.spec, tone)
    frequency = np.hypot(*per_mm.T)
    light = abs(one.wood_y - one.solid_y - other.solid_y + both_y) / _mean(one, other, both_y,
                                                                          tone)
    times = overlap * light * sensitivity_to(frequency)
    times[frequency < 1e-4] = 0
    return per_mm, times


def _mean(one: TintInk, other: TintInk, both_y: float, tone: float) -> float:
    bare = 1 - tone
    return max(bare * bare * one.wood_y + tone * bare * (one.solid_y + other.solid_y)
               + tone * tone * both_y, 1e-6)


def _measured(one: TintInk, other: TintInk, both_y: float, tone: float) -> VisiblePeak:
    per_mm, times = _expected(one, other, both_y, tone)
    period = 1 / np.maximum(np.hypot(*per_mm.T), 1e-9)
    strong = times > max(times.max(initial=0.0) / 2, SEEN_WHEN_LOOKED_FOR / 2)
    side_mm = min(max(LEAST_SIDE_MM, _PERIODS * float(period[strong].max(initial=0.0))),
                  MOST_SIDE_MM)
    pixels = side_pixels(side_mm, one.spec.film_dpi)
    first, second = (np.unpackbits(tint_dots(ink.spec, tone, pixels), axis=1)
                     for ink in (one, other))
    # Cover of neither, of one, of both: what Demichel's weights stand for, place by place.
    y = np.zeros(256, np.float32)
    y[:4] = one.wood_y, one.solid_y, other.solid_y, both_y
    printed = np.asarray(cv2.LUT(first + 2 * second, y), np.float32)
    peak = visible_peak(printed, MM_PER_INCH / one.spec.film_dpi,
                        min(one.most_per_mm, other.most_per_mm))
    long = np.where(period > side_mm / LEAST_PERIODS, times, 0.0)
    if long.max(initial=0.0) <= peak.times_threshold:
        return peak
    best = int(np.argmax(long))
    x, y_ = (float(f) for f in per_mm[best])
    return VisiblePeak(x_per_mm=x, y_per_mm=y_, times_threshold=float(long[best]),
                       modulation=float(long[best] / sensitivity_to(math.hypot(x, y_))))


def _vectors(spec: HalftoneSpec, k: NDArray[np.int64], j: NDArray[np.int64]) -> NDArray[np.float64]:
    turn = math.radians(spec.angle_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    return np.stack([k * cos - j * sin, k * sin + j * cos], axis=-1) * spec.ruling_lpcm / 10
