"""Plain weave as an opening pattern: where the cloth lets ink through.

Threads are opaque bars one pitch apart in both directions. Each passes over and under its
neighbours in turn; where it lies on the print side its shadow on the stencil is a little wider,
where it lies on the squeegee side a little narrower. So the pattern repeats only after two
pitches, and has frequencies at half the count along the cloth's diagonals.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from preflight.press.mesh import Mesh

#: By what share of its width a thread's shadow widens and narrows as it weaves.
#: Own assumption, no source: the share differs with finish and tension.
WEAVE_SHARE = 0.10
#: How far ink flows out under the threads, in thread diameters (standard deviation of a Gaussian).
#: Own assumption, no source: solids close from three quarters of a thread on. From there to one
#: thread the strong beats change by a fifth, for flow moves ink but keeps how much each dot has.
FLOW_THREADS = 1.0
#: Samples along two pitches for the pattern's spectrum.
_SAMPLES = 64
#: Harmonics of the cloth, in halves of the count, beyond which flow leaves next to nothing.
_MOST_HALVES = 5
#: Waves fainter than this share of the mean are left out.
_LEAST_WAVE = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class ClothWaves:
    """The opening pattern as a sum of waves, relative to its mean.

    Attributes
    ----------
    per_mm : NDArray of float64, shape (N, 2)
        Frequency vectors in the cloth's own frame (along weft, along warp); one of each ± pair.
    amplitudes : NDArray of complex128, shape (N,)
        Coefficients of exp(2πi f·x), with a thread crossing at the origin.
    halves : NDArray of int64, shape (N, 2)
        The frequency in halves of the count.
    """

    per_mm: NDArray[np.float64]
    amplitudes: NDArray[np.complex128]
    halves: NDArray[np.int64]


def flow_um(mesh: Mesh) -> float:
    """Standard deviation (µm) of the ink's flow on the wood."""
    return FLOW_THREADS * mesh.thread_um


def bar_share(mesh: Mesh) -> float:
    """Share (0 to 1) of a pitch that a thread takes; a maker's opening wins."""
    return min(max(1.0 - mesh.opening_um / mesh.pitch_um, 0.02), 0.95)


def cloth_waves(mesh: Mesh) -> ClothWaves:
    """The spectrum of the opening pattern, without its mean; not to be written to."""
    return _waves(straight(mesh))


def straight(mesh: Mesh) -> Mesh:
    """The same cloth with its threads along the board: what does not ask for its turn."""
    return replace(mesh, angle_deg=0.0)


@lru_cache(maxsize=64)
def _waves(mesh: Mesh) -> ClothWaves:
    steps = np.arange(_SAMPLES * 4) / (_SAMPLES * 2)
    s, t = np.meshgrid(steps, steps, indexing="ij")
    ramp = steps[1]
    opening = opening_at(s, t, bar_share(mesh), ramp)
    waves = np.fft.fft2(opening) / opening.size
    waves /= waves[0, 0].real
    found, vectors = [], []
    for m in range(-_MOST_HALVES, _MOST_HALVES + 1):
        for n in range(-_MOST_HALVES, _MOST_HALVES + 1):
            if (m, n) > (0, 0) and abs(waves[m, n]) > _LEAST_WAVE:
                found.append(waves[m, n])
                vectors.append((m, n))
    halves = np.array(vectors, np.int64).reshape(-1, 2)
    return ClothWaves(per_mm=np.asarray(halves * mesh.threads_per_cm / 20.0, np.float64),
                      amplitudes=np.array(found, np.complex128), halves=halves)


def opening_at(s: NDArray[np.float64], t: NDArray[np.float64], bar: float,
               ramp: float) -> NDArray[np.float64]:
    """How open the cloth is (0 to 1) at (s, t) in pitches, crossings at whole numbers.

    Parameters
    ----------
    s, t : NDArray of float64, one shape
        Position along weft and along warp (pitches).
    bar : float
        Mean share of a pitch that a thread takes.
    ramp : float
        Width (pitches) of the edge's ramp: one pixel, so that nothing aliases.
    """
    warp = _past_thread(s, t, bar, 1.0, ramp)
    return warp * _past_thread(t, s, bar, -1.0, ramp)


def _past_thread(across: NDArray[np.float64], along: NDArray[np.float64], bar: float, side: float,
                 ramp: float) -> NDArray[np.float64]:
    number = np.rint(across)
    parity = 1.0 - 2.0 * (number % 2)
    half = bar / 2 * (1.0 + side * WEAVE_SHARE * parity * np.cos(math.pi * along))
    return np.clip((np.abs(across - number) - half) / ramp + 0.5, 0.0, 1.0)
