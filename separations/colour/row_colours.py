"""Colours of rows of film tones, without compiled code: no kernel to wait for on a first run."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from separations.colour.print_kernels import PrintSums

FloatArray = NDArray[np.float64]

#: Rows blended at a time, so that their overprints stay in the processor's own memory.
_BLOCK = 1024


def rows_to_xyz(tones: FloatArray, sums: PrintSums, out: FloatArray) -> None:
    """XYZ of printed film tones.

    Parameters
    ----------
    tones : ndarray, shape (N, k), float64
        Film tones, 0 to 1.
    sums : PrintSums
        The print model.
    out : ndarray, shape (N, 3), float64
        Receives XYZ D50, Y = 1 for the perfect diffuser.
    """
    for start in range(0, len(tones), _BLOCK):
        part = tones[start:start + _BLOCK].T
        last = sums.curves.shape[2] - 1
        place = part * last
        step = np.minimum(place.astype(np.int64), last - 1)
        light = np.empty((3, part.shape[1]))
        for channel in range(3):
            areas = np.empty_like(part)
            for ink, curve in enumerate(sums.curves[:, channel]):
                low = curve[step[ink]]
                areas[ink] = low + (place[ink] - step[ink]) * (curve[step[ink] + 1] - low)
            grown = areas.copy()
            for ink, table in enumerate(sums.spread):
                grown[ink] += areas[ink] * (1.0 - areas[ink]) * _blend(table[:, channel], areas)
            value = np.maximum(_blend(sums.bent[:, channel], grown), 1e-6)
            light[channel] = value * value if sums.n[channel] == 2.0 else value**sums.n[channel]
        out[start:start + _BLOCK] = light.T @ sums.to_xyz.T


def _blend(table: FloatArray, areas: FloatArray) -> FloatArray:
    """Multilinear blend of 2^k values at areas (k, N); shape (N,)."""
    half = len(table) // 2
    work = table[:half, None] + areas[-1] * (table[half:] - table[:half])[:, None]
    for area in areas[-2::-1]:
        half //= 2
        work = work[:half] + area * (work[half:] - work[:half])
    return np.asarray(work[0])
