"""All beats of a tint with its cloth at once, in every order: the whole print's own spectrum.

Halftone and cloth are each periodic, so a print of both is a periodic function of four phases: two
within the halftone's cell and two within the cloth's two pitches. It is laid out over these, flown
out and cut at half of a solid's ink there, as the simulated patch is on the wood; its Fourier
coefficients are then the amplitudes of the beats, with no patch whose size or place could matter.
The first order alone (`beat_strength`) is cheaper, for maps, but misjudges at times which of
several beats is strongest, since cover answers ink by a threshold.

Source: spectra of superposed periodic layers as spectra in more dimensions (I. Amidror, The Theory
of the Moiré Phenomenon, from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.fft import irfftn, rfftn

from preflight.facts.moire_facts import FINEST_BEAT_PERIODS
from preflight.press.contrast_sensitivity import sensitivity_to
from preflight.press.halftone_spec import HalftoneSpec
from preflight.press.mesh import Mesh
from separations.measuring.moire.beat_strength import dot_waves
from separations.measuring.moire.cloth import bar_share, flow_um, opening_at, straight
from separations.measuring.moire.printed_patch import EDGE_SOFTNESS

#: Phases within a cell, along each of its sides, and within two pitches of the cloth. Twice as
#: many move the strong beats by less than 5 % (a test holds it).
_CELL, _CLOTH = 24, 12
_FINER = 8


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BeatSpectrum:
    """The beats of one tint with a cloth that are coarser than its dots.

    Attributes
    ----------
    per_mm : NDArray of float64, shape (N, 2)
        Frequency vectors in the board frame; one of each ± pair.
    cover : NDArray of float64, shape (N,)
        Amplitude of cover (0 to 1).
    dot_orders : NDArray of int64, shape (N, 2)
        The halftone's harmonic, along and across its angle.
    cloth_halves : NDArray of int64, shape (N, 2)
        The cloth's, in halves of its count, along weft and warp.
    """

    per_mm: NDArray[np.float64]
    cover: NDArray[np.float64]
    dot_orders: NDArray[np.int64]
    cloth_halves: NDArray[np.int64]

    def times_threshold(self, light: float) -> NDArray[np.float64]:
        """Multiples of the eye's threshold; ``light`` is the modulation of a unit of cover."""
        frequency = np.hypot(self.per_mm[:, 0], self.per_mm[:, 1])
        return np.asarray(self.cover * light * sensitivity_to(frequency), np.float64)


def beat_spectrum(spec: HalftoneSpec, mesh: Mesh, tone: float, *, finer: int = 1) -> BeatSpectrum:
    """Every beat of an even tint with its cloth.

    Parameters
    ----------
    spec : HalftoneSpec
        A periodic halftone.
    mesh : Mesh
        The cloth, at its own angle.
    tone : float
        Film tone value, 0 to 1.
    finer : int
        So many times more phases (to see that there are enough).
    """
    phases = _phases(spec, mesh, finer)
    shape = phases.shape
    dots = _kept(dot_waves(spec.dot_shape, round(tone, 4)), shape[0])
    waves = dots[:, :, None, None] * phases.openings
    ink = irfftn(waves.astype(np.complex64), shape) * np.float32(math.prod(shape))
    cover = np.clip((ink - np.float32(0.5)) * np.float32(1 / EDGE_SOFTNESS) + np.float32(0.5), 0, 1)
    amplitudes = 2 * np.abs(rfftn(cover)[phases.at]) / math.prod(shape)
    return BeatSpectrum(per_mm=phases.per_mm, cover=np.asarray(amplitudes, np.float64),
                        dot_orders=phases.dot_orders, cloth_halves=phases.cloth_halves)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Phases:
    """What all tints of a halftone on a cloth have in common; see `BeatSpectrum`.

    ``openings`` are the cloth's waves, shape (cell, cell, cloth, cloth / 2 + 1), as the ink's flow
    leaves them beside each of the dots', and ``at`` the places of the beats among them.
    """

    shape: tuple[int, int, int, int]
    openings: NDArray[np.complex128]
    at: tuple[NDArray[np.intp], ...]
    per_mm: NDArray[np.float64]
    dot_orders: NDArray[np.int64]
    cloth_halves: NDArray[np.int64]


@lru_cache(maxsize=2)
def _phases(spec: HalftoneSpec, mesh: Mesh, finer: int) -> _Phases:
    cell, cloth = _CELL * finer, _CLOTH * finer
    k, m = (np.rint(np.fft.fftfreq(n, 1 / n)).astype(np.int64) for n in (cell, cloth))
    half = np.arange(cloth // 2 + 1)
    along = np.hypot(*np.broadcast_arrays(*_frequencies(spec, mesh, k, k, m, half)))
    flown = np.exp(-2 * (math.pi * flow_um(mesh) / 1000 * along) ** 2)
    most = spec.ruling_lpcm / 10 / FINEST_BEAT_PERIODS
    # Both layers take part, and of ± pairs on the last axis' ends one is enough.
    coarse = (along < most) & (along > 0)
    coarse[0, 0], coarse[:, :, 0, 0] = False, False
    at = np.nonzero(coarse)
    orders = np.column_stack([k[at[0]], k[at[1]]]), np.column_stack([m[at[2]], half[at[3]]])
    whole = np.hstack(orders)
    keep = whole[np.arange(len(whole)), 3 - np.argmax(whole[:, ::-1] != 0, axis=1)] > 0
    fx, fy = _frequencies_at(spec, mesh, orders[0][keep], orders[1][keep])
    return _Phases(
        shape=(cell, cell, cloth, cloth),
        openings=_opening_waves(straight(mesh), cloth)[:, :cloth // 2 + 1] * flown,
        at=tuple(axis[keep] for axis in at), per_mm=np.column_stack([fx, fy]),
        dot_orders=orders[0][keep], cloth_halves=orders[1][keep])


def _kept(waves: NDArray[np.complex128], count: int) -> NDArray[np.complex128]:
    """The lowest harmonics of a square spectrum, or the same amid more of nothing."""
    have = waves.shape[0]
    kept = np.zeros((count, count), np.complex128)
    low = min(have, count) // 2 - 1
    orders = np.arange(-low, low + 1)
    kept[np.ix_(orders, orders)] = waves[np.ix_(orders, orders)]
    return kept


@lru_cache(maxsize=8)
def _opening_waves(mesh: Mesh, count: int) -> NDArray[np.complex128]:
    """Fourier coefficients of the cloth's opening over two pitches, as ink of a solid's mean."""
    steps = np.arange(count * _FINER) / (count * _FINER) * 2
    s, t = np.meshgrid(steps, steps, indexing="ij")
    bar = bar_share(mesh)
    opening = opening_at(s, t, bar, float(steps[1])) / (1 - bar) ** 2
    return _kept(np.fft.fft2(opening) / opening.size, count)


def _frequencies(
    spec: HalftoneSpec, mesh: Mesh, k: NDArray[np.int64], j: NDArray[np.int64],
    m: NDArray[np.int64], n: NDArray[np.int64],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Frequency vectors (per mm) over four axes of orders."""
    return _sum(spec, mesh, k[:, None, None, None], j[None, :, None, None],
                m[None, None, :, None], n[None, None, None, :])


def _frequencies_at(spec: HalftoneSpec, mesh: Mesh, dots: NDArray[np.int64],
                    halves: NDArray[np.int64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    return _sum(spec, mesh, dots[:, 0], dots[:, 1], halves[:, 0], halves[:, 1])


def _sum(spec: HalftoneSpec, mesh: Mesh, k: NDArray[np.int64], j: NDArray[np.int64],
         m: NDArray[np.int64], n: NDArray[np.int64]) -> tuple[NDArray[np.float64],
                                                             NDArray[np.float64]]:
    dots, cloth = math.radians(spec.angle_deg), math.radians(mesh.angle_deg)
    one, other = spec.ruling_lpcm / 10, mesh.threads_per_cm / 20
    x = one * (k * math.cos(dots) - j * math.sin(dots)) + other * (
        m * math.cos(cloth) - n * math.sin(cloth))
    y = one * (k * math.sin(dots) + j * math.cos(dots)) + other * (
        m * math.sin(cloth) + n * math.cos(cloth))
    return np.asarray(x, np.float64), np.asarray(y, np.float64)
