"""The compiled loop of scattered dots."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from separations.halftone.cell_states_kernel import is_inside
from separations.halftone.packed_rows import clear_outside, pack
from separations.halftone.upsampling import tone_at
from separations.runtime.compiled_code import compiled, inner_kernel

if TYPE_CHECKING:
    from separations.halftone.stochastic import Scatter

_PLACE_BITS = np.int32(14)
#: Positions between two places are told apart in 64 steps.
_STEP_BITS = np.int32(8)
_STEPS = 64


@inner_kernel
def _print_row(tones: Scatter, lattice: int, first_place: int, prints: NDArray[np.uint8]) -> None:
    """Which places of one lattice row print; every other row is set in by half a place."""
    place_to_plane, place_to_film = tones.place_to_plane, tones.place_to_film
    side = tones.thresholds.shape[0]
    tile_row = tones.thresholds[lattice % side]
    row = tones.row_to_plane[0] + lattice * tones.row_to_plane[1]
    half = 0.5 * (lattice & 1)
    for n in range(prints.size):
        place = first_place + n
        column = place_to_plane[0] + (place + half) * place_to_plane[1]
        tone = tone_at(tones.plane, row, column)
        prints[n] = np.uint8(tone > tile_row[(place - (lattice >> 1)) % side])
        if prints[n] and tones.inside[0].shape[1] > 0:
            prints[n] = np.uint8(is_inside(
                tones.inside, place_to_film[0] + lattice * place_to_film[1],
                place_to_film[2] + (place + half) * place_to_film[3]))


@inner_kernel
def _patterns(part: float, patterns: NDArray[np.uint64]) -> None:
    """For each printing of four places, which of 64 steps between them are inked, as bits.

    ``part`` is how far the film row lies from the upper two places to the lower two.
    """
    for state in range(16):
        near, next_, low, low_next = state & 1, state >> 1 & 1, state >> 2 & 1, state >> 3 & 1
        bits = np.uint64(0)
        for k in range(_STEPS):
            along = (k + 0.5) / _STEPS
            if along + part < 1.0:
                weight = near * (1.0 - along - part) + next_ * along + low * part
            else:
                weight = (next_ * (1.0 - part) + low * (1.0 - along)
                          + low_next * (along + part - 1.0))
            if weight > 0.5:
                bits |= np.uint64(1) << np.uint64(k)
        patterns[state] = bits


@compiled
def scatter_rows(tones: Scatter, corner: tuple[int, int], packed: NDArray[np.uint8]) -> None:
    """Fill ``packed`` with the scattered dots of a region of the film.

    Parameters
    ----------
    tones : Scatter
    corner, packed
        As in `screening_kernel.screen_rows`.
    """
    first_row, first_column = corner
    starts, ends = tones.cuts
    lattice_rows, row_parts, column_places = (
        tones.lattice_rows, tones.row_parts, tones.column_places)
    width = min(packed.shape[1] * 8, column_places.size - first_column)
    skipped = column_places[first_column] >> _PLACE_BITS
    count = (column_places[first_column + width - 1] >> _PLACE_BITS) - skipped + 4
    upper = np.empty(count, np.uint8)
    lower = np.empty(count, np.uint8)
    first = tones.first_place + skipped - 1
    inked = np.empty(count, np.uint64)
    patterns = np.empty(16, np.uint64)
    on = np.zeros(packed.shape[1] * 8, np.uint8)
    keep = np.empty(packed.shape[1], np.uint8)
    eight = on.view(np.uint64)
    held = lattice_rows[first_row] - 2
    begin = (skipped - 1) << _PLACE_BITS
    for r in range(packed.shape[0]):
        lattice = lattice_rows[first_row + r]
        if lattice != held:
            if lattice == held + 1:
                upper[:] = lower
            else:
                _print_row(tones, lattice, first, upper)
            _print_row(tones, lattice + 1, first, lower)
            held = lattice
        part = row_parts[first_row + r]
        _patterns(part, patterns)
        odd = lattice & 1
        any_ink = np.uint64(0)
        for n in range(count - 2):
            inked[n] = patterns[upper[n] | upper[n + 1] << 1
                                | lower[n + odd] << 2 | lower[n + 1 + odd] << 3]
            any_ink |= inked[n]
        if any_ink == 0:
            packed[r, :] = 0
            continue
        shift = np.int32(np.rint((part + odd) * 0.5 * (1 << _PLACE_BITS))) + np.int32(begin)
        for j in range(width):
            place = np.uint32(column_places[first_column + j] - shift)
            step = np.uint64((place >> np.uint32(_STEP_BITS)) & np.uint32(_STEPS - 1))
            on[j] = np.uint8((inked[place >> np.uint32(_PLACE_BITS)] >> step) & np.uint64(1))
        pack(eight, packed[r])
        if starts.shape[1] > 0:
            clear_outside(starts[first_row + r], ends[first_row + r], first_column, packed[r], keep)
