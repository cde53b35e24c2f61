"""Compiled sums of the print model: one colour, and how it moves with each tone.

Everything here releases the interpreter lock; callers split rows over threads, and the result
does not depend on how they are split.

A kernel is optimised and translated once for itself and again within each kernel above it, so
there are few of them, one within the other, and nothing but loops, sums and conditions in them:
the first run of an installation waits for this.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from separations.runtime.compiled_code import compiled_on_borrowed_arrays, inner_kernel

FloatArray = NDArray[np.float64]

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
    spread : ndarray, shape (k or 0, 2^k, 3), float64
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


def scratch_for(inks: int) -> Scratch:
    """Working space for that many inks, for one thread."""
    return Scratch(np.empty(1 << inks), np.empty(1 << inks), np.empty(inks), np.empty(inks),
                   np.empty(inks), np.empty(inks), np.empty(inks), np.empty(3), np.empty(3))


@inner_kernel
def blend_with_slopes(table: FloatArray, channel: int, area: FloatArray, slope: FloatArray,
                      scratch: Scratch) -> float:
    """Multilinear blend of 2^k table rows, and its slope along each ink.

    Parameters
    ----------
    table : ndarray, shape (2^k, 3), float64
        Values.
    channel : int
        Column.
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
        blend[corner] = table[corner, channel]
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


@inner_kernel
def _channel_slopes(channel: int, sums: PrintSums, scratch: Scratch) -> float:
    """Bent reflectance of a channel at ``first``, its slope by area into ``slope``."""
    first, grown, slope, own = scratch.first, scratch.grown, scratch.slope, scratch.own
    inks = first.shape[0]
    spreads = sums.spread.shape[0]
    for ink in range(inks):
        grown[ink] = first[ink]
    for ink in range(spreads):
        share = first[ink]
        grow = blend_with_slopes(sums.spread[ink], channel, first, slope, scratch)
        grown[ink] = share + share * (1.0 - share) * grow
        own[ink] = 1.0 + (1.0 - 2.0 * share) * grow
    value = blend_with_slopes(sums.bent, channel, grown, slope, scratch)
    for ink in range(spreads):
        own[ink] *= slope[ink]
    for ink in range(spreads):
        # an ink's area also moves with the inks beneath it
        room = first[ink] * (1.0 - first[ink]) * slope[ink]
        if room != 0.0:
            blend_with_slopes(sums.spread[ink], channel, first, grown, scratch)
            for other in range(inks):
                own[other] += room * grown[other]
    for ink in range(spreads):
        slope[ink] = own[ink]
    return float(value)


@compiled_on_borrowed_arrays
def lab_and_slopes(tones: FloatArray, sums: PrintSums, scratch: Scratch, lab: FloatArray,
                   slopes: FloatArray) -> None:
    """Lab of one set of film tones (k,) into ``lab`` (3,), d Lab / d tone into ``slopes`` (3, k).

    Its XYZ is left in ``scratch.xyz``.
    """
    inks = tones.shape[0]
    curves, xyz, bend, slope = sums.curves, scratch.xyz, scratch.bend, scratch.slope
    last = curves.shape[2] - 1
    for axis in range(3):
        xyz[axis] = 0.0
        for ink in range(inks):
            slopes[axis, ink] = 0.0
    for channel in range(3):
        for ink in range(inks):
            place = tones[ink] * last
            step = int(place)
            step = step if step < last else last - 1
            low = curves[ink, channel, step]
            scratch.first[ink] = low + (place - step) * (curves[ink, channel, step + 1] - low)
            high = step + 1 + _SECANT if step + 1 + _SECANT < last else last
            below = step - _SECANT if step > _SECANT else 0
            scratch.steep[ink] = ((curves[ink, channel, high] - curves[ink, channel, below])
                                  * last / (high - below))
        value = _channel_slopes(channel, sums, scratch)
        value = value if value > 1e-6 else 1e-6
        power = sums.n[channel]
        raised = value if power == 2.0 else value ** (power - 1.0)
        for axis in range(3):
            xyz[axis] += sums.to_xyz[axis, channel] * raised * value
            scale = sums.to_xyz[axis, channel] * power * raised
            for ink in range(inks):
                slopes[axis, ink] += scale * slope[ink] * scratch.steep[ink]
    for axis in range(3):
        ratio = xyz[axis] / sums.white[axis]
        if ratio > _LAB_KNEE:
            root = ratio ** (1.0 / 3.0)
            lab[axis] = root
            bend[axis] = root / (3.0 * ratio * sums.white[axis])
        else:
            lab[axis] = (_LAB_SLOPE * ratio + 16.0) / 116.0
            bend[axis] = _LAB_SLOPE / 116.0 / sums.white[axis]
    x, y, z = lab[0], lab[1], lab[2]
    lab[0], lab[1], lab[2] = 116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)
    for ink in range(inks):
        x, y, z = bend[0] * slopes[0, ink], bend[1] * slopes[1, ink], bend[2] * slopes[2, ink]
        slopes[0, ink] = 116.0 * y
        slopes[1, ink] = 500.0 * (x - y)
        slopes[2, ink] = 200.0 * (y - z)
