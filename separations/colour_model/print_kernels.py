"""Compiled sums of the print model: one colour, and how it moves with each tone.

Everything here releases the interpreter lock; callers split rows over threads, and the result
does not depend on how they are split.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

FLAGS: dict[str, Any] = {"nogil": True, "cache": True, "error_model": "numpy"}
_LAB_KNEE = 216.0 / 24389.0
_LAB_SLOPE = 24389.0 / 27.0
#: Slopes of tone curves are taken over this many table entries to either side, so that a
#: stretch where dots are lost does not look like an ink that does nothing.
_SECANT = 12


class PrintSums(NamedTuple):
    """What the sums need of a print model.

    Attributes
    ----------
    curves : ndarray, shape (k, 3, T), float64
        Area under ink by film tone, per channel.
    bent : ndarray, shape (2^k, 3), float64
        Overprints to the power 1/n.
    n : ndarray, shape (3,), float64
        Yule-Nielsen factors.
    spread : ndarray, shape (k * 2^k or 0, 3), float64
        Ink spreading coefficients.
    to_xyz : ndarray, shape (3, 3), float64
        Linear wide-gamut RGB to XYZ.
    white : ndarray, shape (3,), float64
        XYZ of the Lab white.
    """

    curves: FloatArray
    bent: FloatArray
    n: FloatArray
    spread: FloatArray
    to_xyz: FloatArray
    white: FloatArray


class Scratch(NamedTuple):
    """Working space, as arrays of their own: cutting views in the inner loops costs more.

    ``blend`` and ``rise`` are (2^k,); ``first``, ``grown``, ``slope``, ``own`` and ``steep``
    (k,); ``xyz`` and ``bend`` (3,).
    """

    blend: FloatArray
    rise: FloatArray
    first: FloatArray
    grown: FloatArray
    slope: FloatArray
    own: FloatArray
    steep: FloatArray
    xyz: FloatArray
    bend: FloatArray


@njit(**FLAGS)
def scratch_for(inks: int) -> Scratch:
    """Working space for that many inks."""
    return Scratch(np.empty(1 << inks), np.empty(1 << inks), np.empty(inks), np.empty(inks),
                   np.empty(inks), np.empty(inks), np.empty(inks), np.empty(3), np.empty(3))


@njit(**FLAGS)
def _blend(table: FloatArray, first: int, channel: int, area: FloatArray,
           work: FloatArray) -> float:
    """Multilinear blend of 2^k table rows, from ``first`` on, at the k areas."""
    inks = area.shape[0]
    for corner in range(1 << inks):
        work[corner] = table[first + corner, channel]
    for ink in range(inks - 1, -1, -1):
        half = 1 << ink
        share = area[ink]
        for corner in range(half):
            work[corner] += share * (work[corner + half] - work[corner])
    return float(work[0])


@njit(**FLAGS)
def blend_with_slopes(table: FloatArray, first: int, channel: int, area: FloatArray,
                      slope: FloatArray, scratch: Scratch) -> float:
    """Multilinear blend of 2^k table rows, and its slope along each ink.

    Parameters
    ----------
    table : ndarray, shape (rows, 3), float64
        Values; rows ``first`` to ``first + 2^k`` are blended.
    first, channel : int
        First row and column.
    area : ndarray, shape (k,), float64
        Shares, 0 to 1.
    slope : ndarray, shape (k,), float64
        Receives the slopes.
    scratch : Scratch
        Its ``blend`` and ``rise`` are used.
    """
    inks = area.shape[0]
    blend, rise = scratch.blend, scratch.rise
    for corner in range(1 << inks):
        blend[corner] = table[first + corner, channel]
    for ink in range(inks - 1, -1, -1):
        half = 1 << ink
        share = area[ink]
        for corner in range(half):
            rise[corner] = blend[corner + half] - blend[corner]
            blend[corner] += share * rise[corner]
        for lower in range(ink - 1, -1, -1):
            quarter = 1 << lower
            part = area[lower]
            for corner in range(quarter):
                rise[corner] += part * (rise[corner + quarter] - rise[corner])
        slope[ink] = rise[0]
    return float(blend[0])


@njit(**FLAGS)
def _area(curves: FloatArray, ink: int, channel: int, tone: float) -> float:
    last = curves.shape[2] - 1
    place = tone * last
    step = min(max(int(place), 0), last - 1)
    low = curves[ink, channel, step]
    return float(low + (place - step) * (curves[ink, channel, step + 1] - low))


@njit(**FLAGS)
def _area_slope(curves: FloatArray, ink: int, channel: int, tone: float) -> float:
    last = curves.shape[2] - 1
    step = min(max(int(tone * last), 0), last - 1)
    high, low = min(step + 1 + _SECANT, last), max(step - _SECANT, 0)
    return float((curves[ink, channel, high] - curves[ink, channel, low]) * last / (high - low))


@njit(**FLAGS)
def xyz_to_lab_with_slopes(xyz: FloatArray, white: FloatArray, lab: FloatArray,
                           bend: FloatArray) -> None:
    """Lab of one XYZ into ``lab``; d f / d X of each coordinate into ``bend``; all (3,)."""
    for axis in range(3):
        ratio = xyz[axis] / white[axis]
        if ratio > _LAB_KNEE:
            root = ratio ** (1.0 / 3.0)
            lab[axis] = root
            bend[axis] = root / (3.0 * ratio * white[axis])
        else:
            lab[axis] = (_LAB_SLOPE * ratio + 16.0) / 116.0
            bend[axis] = _LAB_SLOPE / 116.0 / white[axis]
    x, y, z = lab[0], lab[1], lab[2]
    lab[0] = 116.0 * y - 16.0
    lab[1] = 500.0 * (x - y)
    lab[2] = 200.0 * (y - z)


@njit(**FLAGS)
def _channel_slopes(channel: int, sums: PrintSums, scratch: Scratch) -> float:
    """Bent reflectance of a channel at ``first``, its slope by area into ``slope``."""
    first, grown, slope, own = scratch.first, scratch.grown, scratch.slope, scratch.own
    inks = first.shape[0]
    if sums.spread.shape[0] == 0:
        return float(blend_with_slopes(sums.bent, 0, channel, first, slope, scratch))
    for ink in range(inks):
        share = first[ink]
        grow = _blend(sums.spread, ink << inks, channel, first, scratch.blend)
        grown[ink] = share + share * (1.0 - share) * grow
        own[ink] = 1.0 + (1.0 - 2.0 * share) * grow
    value = blend_with_slopes(sums.bent, 0, channel, grown, slope, scratch)
    for ink in range(inks):
        own[ink] *= slope[ink]
    for ink in range(inks):
        # an ink's area also moves with the inks beneath it
        room = first[ink] * (1.0 - first[ink]) * slope[ink]
        if room != 0.0:
            blend_with_slopes(sums.spread, ink << inks, channel, first, grown, scratch)
            for other in range(inks):
                own[other] += room * grown[other]
    for ink in range(inks):
        slope[ink] = own[ink]
    return float(value)


@njit(**FLAGS)
def lab_and_slopes(tones: FloatArray, sums: PrintSums, scratch: Scratch, lab: FloatArray,
                   slopes: FloatArray) -> None:
    """Lab of one set of film tones (k,) into ``lab`` (3,), d Lab / d tone into ``slopes`` (3, k).

    Its XYZ is left in ``scratch.xyz``.
    """
    inks = tones.shape[0]
    xyz = scratch.xyz
    for axis in range(3):
        xyz[axis] = 0.0
        for ink in range(inks):
            slopes[axis, ink] = 0.0
    for channel in range(3):
        for ink in range(inks):
            scratch.first[ink] = _area(sums.curves, ink, channel, tones[ink])
            scratch.steep[ink] = _area_slope(sums.curves, ink, channel, tones[ink])
        value = max(_channel_slopes(channel, sums, scratch), 1e-6)
        power = sums.n[channel]
        raised = value if power == 2.0 else value ** (power - 1.0)
        for axis in range(3):
            xyz[axis] += sums.to_xyz[axis, channel] * raised * value
            scale = sums.to_xyz[axis, channel] * power * raised
            for ink in range(inks):
                slopes[axis, ink] += scale * scratch.slope[ink] * scratch.steep[ink]
    xyz_to_lab_with_slopes(xyz, sums.white, lab, scratch.bend)
    for ink in range(inks):
        x = scratch.bend[0] * slopes[0, ink]
        y = scratch.bend[1] * slopes[1, ink]
        z = scratch.bend[2] * slopes[2, ink]
        slopes[0, ink] = 116.0 * y
        slopes[1, ink] = 500.0 * (x - y)
        slopes[2, ink] = 200.0 * (y - z)


@njit(**FLAGS)
def predict_rows(tones: FloatArray, sums: PrintSums, out: FloatArray) -> None:
    """XYZ of every row of ``tones`` (N, k) into ``out`` (N, 3)."""
    inks = tones.shape[1]
    scratch = scratch_for(inks)
    lab, slopes = np.empty(3), np.empty((3, inks))
    for row in range(tones.shape[0]):
        # the slopes are not wanted, but the compiled code is there already
        lab_and_slopes(tones[row], sums, scratch, lab, slopes)
        for axis in range(3):
            out[row, axis] = scratch.xyz[axis]
