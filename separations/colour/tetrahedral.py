"""Compiled interpolation in a lattice over RGB, and the ends of the tone scale.

The lattice has 33 nodes a side; its last cell includes the far end, so the corner after a
node always exists.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from separations.runtime.compiled_code import compiled, inner_kernel

#: Weights are counted in these parts; with 16-bit tones their sums fit 32 bits.
PARTS = 1 << 15
_PART_BITS = 15
#: Parts from one end of a channel to the other, and its last cell.
WHOLE = 32 * PARTS
_LAST_CELL = 31
_TONE_TOP = 65535
_BLUE = 1
_GREEN = 33
_RED = 33 * 33


class Places(NamedTuple):
    """Lattice cell of each channel level, and how far into it (0 to `PARTS`); int32 (levels,)."""

    cell: NDArray[np.int32]
    part: NDArray[np.int32]


@inner_kernel
def lattice_path(x: int, y: int, z: int) -> tuple[int, int, int, int, int]:
    """Way from a cell's low corner to its high one, longest part first.

    Returns the steps to the second and third corner, and the parts from largest to smallest.
    """
    if x >= y:
        if y >= z:
            return _RED, _RED + _GREEN, x, y, z
        if x >= z:
            return _RED, _RED + _BLUE, x, z, y
        return _BLUE, _RED + _BLUE, z, x, y
    if x >= z:
        return _GREEN, _RED + _GREEN, y, x, z
    if y >= z:
        return _GREEN, _GREEN + _BLUE, y, z, x
    return _BLUE, _GREEN + _BLUE, z, y, x


@inner_kernel
def _ended(tone: int, ends: NDArray[np.int32], ink: int) -> int:
    """A tone with the ends of the scale dropped, held, capped or made solid."""
    if tone < ends[ink, 1]:
        return 0 if tone < ends[ink, 0] else int(ends[ink, 1])
    if tone > ends[ink, 2]:
        return int(ends[ink, 2]) if tone < ends[ink, 3] else _TONE_TOP
    return tone


@inner_kernel
def _lower_raised(out: NDArray[np.uint16], row: int, col: int, ends: NDArray[np.int32],
                  excess: int) -> None:
    """Lower what was raised to the smallest dot or to solid until the sum fits."""
    for ink in range(out.shape[0]):
        kept = int(out[ink, row, col])
        if excess > 0 and (kept == ends[ink, 1] or kept == _TONE_TOP):
            less = 0 if kept == ends[ink, 1] else int(ends[ink, 2])
            excess -= kept - less
            out[ink, row, col] = less


@inner_kernel
def _lifted(cell: int, part: int, lift: int) -> tuple[int, int]:
    """Cell and part of a channel that is lifted by so many parts."""
    place = min(max((cell << _PART_BITS) + part + lift, 0), WHOLE)
    cell = min(place >> _PART_BITS, _LAST_CELL)
    return cell, place - (cell << _PART_BITS)


@compiled
def interpolate_tones(
    rgb: NDArray[np.generic], places: Places, lifts: NDArray[np.int32], nodes: NDArray[np.uint16],
    ends: NDArray[np.int32], cap: int, out: NDArray[np.uint16],
) -> None:
    """Film tones of every pixel.

    Parameters
    ----------
    rgb : ndarray, shape (rows, cols, 3), uint8 or uint16
        The photograph.
    places : Places
        Where each channel level lies in the lattice.
    lifts : ndarray, shape (rows, cols) or (0, 0), int32
        How much lighter each pixel is taken, in parts; never darker than white is far.
    nodes : ndarray, shape (33^3, k), uint16
        Film tones at the lattice nodes, red outermost.
    ends : ndarray, shape (k, 4), int32
        Per ink: below the first count nothing prints; below the second the second prints;
        above the third the third prints, and from the fourth on solid.
    cap : int
        Most counts that one pixel's tones may add up to.
    out : ndarray, shape (k, rows, cols), uint16
        Receives the tones.

    Notes
    -----
    Tetrahedral interpolation along the cell's diagonal, so that neutral pixels use neutral
    nodes alone. The weights are whole numbers that add up to `PARTS` and the result is rounded
    down, so no sum of tones passes that of the nodes.
    """
    cell, part = places.cell, places.part
    inks = nodes.shape[1]
    for row in range(rgb.shape[0]):
        for col in range(rgb.shape[1]):
            r, g, b = int(rgb[row, col, 0]), int(rgb[row, col, 1]), int(rgb[row, col, 2])
            red, green, blue = int(cell[r]), int(cell[g]), int(cell[b])
            x, y, z = int(part[r]), int(part[g]), int(part[b])
            if lifts.shape[0] > 0:
                lift = int(lifts[row, col])
                if lift != 0:
                    darkest = min((red << _PART_BITS) + x, (green << _PART_BITS) + y,
                                  (blue << _PART_BITS) + z)
                    lift = max(lift, darkest - WHOLE)
                    red, x = _lifted(red, x, lift)
                    green, y = _lifted(green, y, lift)
                    blue, z = _lifted(blue, z, lift)
            base = red * _RED + green * _GREEN + blue
            one, two, high, middle, low = lattice_path(x, y, z)
            first, second, third = base + one, base + two, base + _RED + _GREEN + _BLUE
            raised, total = False, 0
            for ink in range(inks):
                tone = ((PARTS - high) * int(nodes[base, ink])
                        + (high - middle) * int(nodes[first, ink])
                        + (middle - low) * int(nodes[second, ink])
                        + low * int(nodes[third, ink])) >> _PART_BITS
                kept = _ended(tone, ends, ink)
                raised = raised or kept > tone
                total += kept
                out[ink, row, col] = kept
            if raised and total > cap:
                _lower_raised(out, row, col, ends, total - cap)


@compiled
def interpolate_scalar(rgb: NDArray[np.generic], places: Places, nodes: NDArray[np.float32],
                       out: NDArray[np.float32]) -> None:
    """One number per pixel (rows, cols) from one per lattice node (33^3,)."""
    cell, part = places.cell, places.part
    parts = np.float32(PARTS)
    for row in range(rgb.shape[0]):
        for col in range(rgb.shape[1]):
            r, g, b = int(rgb[row, col, 0]), int(rgb[row, col, 1]), int(rgb[row, col, 2])
            base = cell[r] * _RED + cell[g] * _GREEN + cell[b]
            one, two, high, middle, low = lattice_path(part[r], part[g], part[b])
            out[row, col] = (
                np.float32(PARTS - high) / parts * nodes[base]
                + np.float32(high - middle) / parts * nodes[base + one]
                + np.float32(middle - low) / parts * nodes[base + two]
                + np.float32(low) / parts * nodes[base + _RED + _GREEN + _BLUE])
