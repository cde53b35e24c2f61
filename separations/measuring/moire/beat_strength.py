"""How strongly halftone and cloth beat, by their spectra alone: cheap enough for whole maps.

To first order in the cloth's ripple, the cover of a print changes where the ink film crosses the
half of a solid's, at the dots' edges; so each beat is one sum over the halftone's harmonics. Its
frequency is a difference of harmonics, which holds in every order.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.fft import fft2, ifft2

from preflight.facts.moire_facts import FINEST_BEAT_PERIODS
from preflight.press.contrast_sensitivity import sensitivity_to
from preflight.press.halftone_spec import DotShape
from preflight.press.mesh import Mesh
from separations.halftone.spot_levels import levelled_spot
from separations.measuring.moire.cloth import ClothWaves, cloth_waves, flow_um
from separations.measuring.moire.printed_patch import EDGE_SOFTNESS

#: Points along a cell, and harmonics of the dots taken along each of its sides.
_POINTS = 64
#: The dots are drawn so many times finer than those points.
_FINER = 4
_MOST_HARMONIC = 11
#: A hung cloth's count and angle against its label: 1 % and half a degree or so, together.
#: Own assumption, no source. A long beat may be a shorter, plainer one on the frame.
CLOTH_DRIFT = 0.013


@dataclass(frozen=True, slots=True, kw_only=True)
class BeatsAtAngles:
    """All beats of one tint with a cloth, for several angles between them.

    Attributes
    ----------
    per_mm : NDArray of float64, shape (angles, N, 2)
        Beat frequencies in the cloth's own frame; N waves of the cloth, each with the halftone's
        nearest harmonic.
    cover : NDArray of float64, shape (angles, N)
        Amplitude of cover (0 to 1); 0 where the beat is as fine as the dots.
    dot_orders : NDArray of int64, shape (angles, N, 2)
        The halftone's harmonic, along and across its angle.
    waves : ClothWaves
        The cloth's waves.
    """

    per_mm: NDArray[np.float64]
    cover: NDArray[np.float64]
    dot_orders: NDArray[np.int64]
    waves: ClothWaves

    def times_threshold(self, light: float, *, cloth_drift: float = 0.0) -> NDArray[np.float64]:
        """Multiples of the eye's threshold, shape (angles, N).

        Parameters
        ----------
        light : float
            Modulation of luminance for a unit of cover: (wood − ink) / mean.
        cloth_drift : float
            By what share the cloth's frequencies may differ from its figures (`CLOTH_DRIFT`): the
            most visible beat within that reach is told.
        """
        frequency = np.hypot(self.per_mm[..., 0], self.per_mm[..., 1])
        if cloth_drift:
            reach = cloth_drift * np.hypot(self.waves.per_mm[:, 0], self.waves.per_mm[:, 1])
            best = _best_seen_per_mm()
            frequency = np.where(frequency < best, np.minimum(frequency + reach, best),
                                 np.maximum(frequency - reach, best))
        return np.asarray(self.cover * light * sensitivity_to(frequency), np.float64)


@lru_cache(maxsize=1)
def _best_seen_per_mm() -> float:
    """The frequency (cycles per mm) that the eye sees best at reading distance."""
    tried = np.linspace(0.05, 2.0, 400)
    return float(tried[int(np.argmax(sensitivity_to(tried)))])


def light_of_cover(tone: float, wood_y: float, ink_y: float) -> float:
    """Modulation of luminance that a unit of cover makes in a tint; Y of wood and of the solid."""
    return abs(wood_y - ink_y) / max(wood_y + tone * (ink_y - wood_y), 1e-6)


def beats_at_angles(shape: DotShape, ruling_lpcm: float, tone: float, mesh: Mesh,
                    angles_deg: NDArray[np.float64]) -> BeatsAtAngles:
    """Beats of a tint with a cloth.

    Parameters
    ----------
    shape : DotShape
        A periodic shape.
    ruling_lpcm : float
        Lines per cm.
    tone : float
        Film tone value, 0 to 1.
    mesh : Mesh
        The cloth; its own angle is left out.
    angles_deg : NDArray of float64, shape (angles,)
        The halftone's angle minus the cloth's.
    """
    from separations.measuring.moire.moire_kernels import sum_beats

    waves = cloth_waves(mesh)
    per_mm = ruling_lpcm / 10.0
    flow = -2 * (math.pi * flow_um(mesh) / 1000) ** 2
    dots, edges = _dots_and_edges(shape, tone, flow * per_mm**2)
    turn = np.radians(angles_deg)
    cos, sin = np.cos(turn)[:, None], np.sin(turn)[:, None]
    # The cloth's waves in the halftone's frame, in rulings.
    g = waves.per_mm / per_mm
    along = cos * g[:, 0] + sin * g[:, 1]
    across = -sin * g[:, 0] + cos * g[:, 1]
    near = -np.stack([np.rint(along), np.rint(across)], axis=-1).astype(np.int64)
    beat = np.stack([along, across], axis=-1) + near
    wide = np.hypot(beat[..., 0], beat[..., 1]) * FINEST_BEAT_PERIODS < 1
    cover = np.zeros(along.shape)
    at = np.nonzero(wide)
    sums = np.empty(len(at[0]), np.complex128)
    sum_beats(dots, edges, along[at], across[at], near[at], flow * per_mm**2,
              np.empty((4, dots.shape[2])), sums)
    cover[at] = 2 * np.abs(sums * waves.amplitudes[at[1]])
    turned = np.stack([cos * beat[..., 0] - sin * beat[..., 1],
                       sin * beat[..., 0] + cos * beat[..., 1]], axis=-1)
    return BeatsAtAngles(per_mm=turned * per_mm, cover=cover, dot_orders=near, waves=waves)


@lru_cache(maxsize=16)
def _dots_and_edges(shape: DotShape, tone: float,
                    flow: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Spectra over one cell of the dots and of where more ink makes more cover, for `sum_beats`.

    Kept, since a search for a clear angle asks for the same few tints at each; not to be written
    to.
    """
    dots = dot_waves(shape, round(tone, 4))
    keep = np.fft.fftfreq(_POINTS, 1 / _POINTS)
    film = ifft2(dots * np.exp(flow * (keep[:, None]**2 + keep**2))).real * _POINTS**2
    edges = (np.abs(film - 0.5) < EDGE_SOFTNESS / 2) / EDGE_SOFTNESS
    spectrum = fft2(edges) / edges.size
    orders = np.arange(-_MOST_HARMONIC, _MOST_HARMONIC + 1)
    backwards = -np.arange(_POINTS)
    parts = (_in_parts(dots[np.ix_(orders, orders)]),
             _in_parts(spectrum[np.ix_(backwards, np.append(backwards, backwards[:len(orders)]))]))
    for part in parts:
        part.setflags(write=False)
    return parts


def _in_parts(waves: NDArray[np.complex128]) -> NDArray[np.float64]:
    """Real and imaginary parts, shape (2, rows, columns)."""
    return np.stack([waves.real, waves.imag])


@lru_cache(maxsize=64)
def dot_waves(shape: DotShape, tone: float) -> NDArray[np.complex128]:
    """Fourier coefficients of a tint's dots over one cell; not to be written to.

    Parameters
    ----------
    shape : DotShape
        A periodic shape.
    tone : float
        Film tone value, 0 to 1.

    Returns
    -------
    NDArray of complex128, shape (64, 64)
        Harmonics along and across the halftone's angle, in the order of a Fourier transform.
    """
    inked = _heights(shape) > levelled_spot(shape).level_of_cover(np.array([tone]))[0]
    keep = np.fft.fftfreq(_POINTS, 1 / _POINTS).astype(np.int64)
    waves: NDArray[np.complex128] = fft2(inked.astype(np.float64)) / inked.size
    waves = waves[np.ix_(keep, keep)]
    waves.setflags(write=False)
    return waves


@lru_cache(maxsize=2)
def _heights(shape: DotShape) -> NDArray[np.float64]:
    """The spot over one cell, finely; not to be written to."""
    steps = np.arange(_POINTS * _FINER) / (_POINTS * _FINER)
    heights = levelled_spot(shape).height(steps[:, None], steps)
    heights.setflags(write=False)
    return heights
