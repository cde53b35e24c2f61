"""The strongest beat of one ink's halftone with its own cloth, simulated at several tones."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from preflight.facts.moire_facts import FINEST_BEAT_PERIODS, SEEN_WHEN_LOOKED_FOR, MoireFacts
from preflight.press.halftone_spec import HalftoneSpec
from preflight.press.mesh import Mesh
from preflight.units import MM_PER_INCH
from separations.measuring.moire.beat_spectrum import BeatSpectrum, beat_spectrum
from separations.measuring.moire.beat_strength import (
    CLOTH_DRIFT,
    beats_at_angles,
    light_of_cover,
)
from separations.measuring.moire.beat_words import beat_told
from separations.measuring.moire.printed_patch import printed_tint
from separations.measuring.moire.visible_peak import LEAST_PERIODS, VisiblePeak, visible_peak

#: Film tones at which tints are tried.
TONES = (0.15, 0.3, 0.5, 0.7, 0.85)
#: Sides of a patch (mm), and how many periods of the expected beat it is to hold.
LEAST_SIDE_MM, MOST_SIDE_MM = 15.0, 48.0
_PERIODS = 6.0
#: Beats expected to be fainter than this are simulated in one tint only.
_FAINT = SEEN_WHEN_LOOKED_FOR / 4


@dataclass(frozen=True, slots=True, kw_only=True)
class TintInk:
    """What of an ink its moiré depends on.

    Attributes
    ----------
    name : str
        The ink.
    spec, mesh : HalftoneSpec, Mesh
        Its halftone and cloth.
    wood_y, solid_y : float
        Luminous reflectance of what lies beneath and of the solid on it (1 = white).
    """

    name: str
    spec: HalftoneSpec
    mesh: Mesh
    wood_y: float
    solid_y: float

    @property
    def tones(self) -> tuple[float, ...]:
        """The tones to try: those whose dots and holes print."""
        low, high = self.spec.smallest_tone, self.spec.largest_tone
        return tuple(t for t in TONES if low <= t <= high) or ((low + high) / 2,)

    @property
    def most_per_mm(self) -> float:
        """Finer beats than this belong to the dots (cycles per mm)."""
        return self.spec.ruling_lpcm / 10 / FINEST_BEAT_PERIODS


@lru_cache(maxsize=64)
def expected(ink: TintInk, tone: float) -> BeatSpectrum:
    """The beats of one tint with the cloth, in every order."""
    return beat_spectrum(ink.spec, ink.mesh, tone)


@lru_cache(maxsize=64)
def expected_times(ink: TintInk) -> float:
    """Multiples of the threshold of the strongest expected beat, over all tones.

    In first order, as on a frame where the cloth is not quite what its label says.
    """
    turn = np.array([ink.spec.angle_deg - ink.mesh.angle_deg])
    return max(float(beats_at_angles(ink.spec.dot_shape, ink.spec.ruling_lpcm, tone, ink.mesh, turn)
                     .times_threshold(_light(ink, tone), cloth_drift=CLOTH_DRIFT).max())
               for tone in ink.tones)


def measured(ink: TintInk, tone: float, side_mm: float) -> VisiblePeak:
    """The strongest ripple of a simulated print of one tint."""
    pixels = side_pixels(side_mm, ink.spec.film_dpi)
    cover = printed_tint(ink.spec, ink.mesh, tone, pixels)
    return visible_peak(luminance(cover, ink), MM_PER_INCH / ink.spec.film_dpi, ink.most_per_mm)


def luminance(cover: NDArray[np.float32], ink: TintInk) -> NDArray[np.float32]:
    """Luminous reflectance (1 = white) where ``cover`` (0 to 1) of the ink lies."""
    return np.float32(ink.wood_y) + np.float32(ink.solid_y - ink.wood_y) * cover


def side_pixels(side_mm: float, film_dpi: float) -> int:
    """A patch's side in film pixels, a multiple of eight."""
    return 8 * math.ceil(side_mm * film_dpi / MM_PER_INCH / 8)


def side_for(ink: TintInk, tones: Sequence[float]) -> float:
    """Side of the patch (mm) that shows the beats expected in these tints."""
    longest = LEAST_SIDE_MM
    for tone in tones:
        beats = expected(ink, tone)
        times = beats.times_threshold(_light(ink, tone))
        period = 1 / np.maximum(np.hypot(*beats.per_mm.T), 1e-9)
        strong = times > max(times.max(initial=0.0) / 2, SEEN_WHEN_LOOKED_FOR / 2)
        longest = max(longest, float(_PERIODS * period[strong].max(initial=0.0)))
    return min(longest, MOST_SIDE_MM)


def mesh_moire(ink: TintInk) -> MoireFacts:
    """Simulate an ink's tints through its cloth and tell the beat that is seen best.

    Notes
    -----
    A beat too long for the largest patch is told as its spectra have it. Where none is expected
    near the limit only the tint with the strongest one is printed.
    """
    tones = ink.tones
    hopes = [float(expected(ink, t).times_threshold(_light(ink, t)).max(initial=0.0))
             for t in tones]
    if max(hopes) < _FAINT:
        tones = (tones[int(np.argmax(hopes))],)
    side_mm = side_for(ink, tones)
    peaks = [_stronger(measured(ink, tone, side_mm), _too_long(ink, tone, side_mm))
             for tone in tones]
    tone, best = max(zip(tones, peaks, strict=True), key=lambda pair: pair[1].times_threshold)
    return MoireFacts(
        partner="mesh", inks=(ink.name,), period_mm=best.period_mm,
        direction_deg=best.direction_deg, contrast=best.modulation,
        times_threshold=best.times_threshold, tone=tone, order=order_of(ink, tone, best),
        tones_seen=tuple(t for t, p in zip(tones, peaks, strict=True)
                         if p.times_threshold >= SEEN_WHEN_LOOKED_FOR))


def order_of(ink: TintInk, tone: float, peak: VisiblePeak) -> str:
    """What of halftone and cloth beats in a measured ripple, in words; empty if nothing does."""
    beats = expected(ink, tone)
    x, y = peak.x_per_mm, peak.y_per_mm
    away = np.minimum(*(np.hypot(beats.per_mm[:, 0] - s * x, beats.per_mm[:, 1] - s * y)
                        for s in (1, -1)))
    # Of several beats at one place the strongest.
    near = away < 0.05 * math.hypot(x, y) + 1e-3
    if not near.any():
        return ""
    best = int(np.argmax(np.where(near, beats.cover, -1)))
    return beat_told(beats.dot_orders[best], beats.cloth_halves[best])


def at(ink: TintInk, *, ruling_lpcm: float | None = None, angle_deg: float | None = None,
       mesh_deg: float | None = None) -> TintInk:
    """The same ink at another ruling, angle or mesh turn."""
    spec = replace(ink.spec, ruling_lpcm=ruling_lpcm or ink.spec.ruling_lpcm,
                   angle_deg=ink.spec.angle_deg if angle_deg is None else angle_deg)
    mesh = ink.mesh if mesh_deg is None else replace(ink.mesh, angle_deg=mesh_deg)
    return replace(ink, spec=spec, mesh=mesh)


def _light(ink: TintInk, tone: float) -> float:
    return light_of_cover(tone, ink.wood_y, ink.solid_y)


def _too_long(ink: TintInk, tone: float, side_mm: float) -> VisiblePeak:
    """The strongest expected beat among those that the patch cannot hold."""
    beats = expected(ink, tone)
    frequency = np.hypot(*beats.per_mm.T)
    times = beats.times_threshold(_light(ink, tone))
    if not times.size:
        return VisiblePeak(x_per_mm=0.0, y_per_mm=0.0, modulation=0.0, times_threshold=0.0)
    times[(frequency >= LEAST_PERIODS / side_mm) | (frequency < 1e-4)] = 0
    best = int(np.argmax(times))
    return VisiblePeak(
        x_per_mm=float(beats.per_mm[best, 0]), y_per_mm=float(beats.per_mm[best, 1]),
        modulation=float(beats.cover[best] * _light(ink, tone)) if times[best] > 0 else 0.0,
        times_threshold=float(times[best]))


def _stronger(one: VisiblePeak, other: VisiblePeak) -> VisiblePeak:
    return one if one.times_threshold >= other.times_threshold else other
