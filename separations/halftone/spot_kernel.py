"""The compiled loops that hold a spot against the levels of a stretch of film columns."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from separations.halftone.cell_states_kernel import compare_thinned
from separations.halftone.film_spot import FOLDS, WAVES
from separations.halftone.plane_rows_kernel import ONE_SHIFT, Stretch, WorkRoom
from separations.runtime.compiled_code import inner_kernel

if TYPE_CHECKING:
    from separations.halftone.cell_states import CellStates
    from separations.halftone.film_spot import FilmSpot

_SIGN_SHIFT = np.int32(31)

Turns = tuple[NDArray[np.int32], NDArray[np.int32]]
Waves = tuple[NDArray[np.float32], ...]


@inner_kernel
def _compare_waves(stretch: Stretch, waves: Waves,
                   amplitude: tuple[float, ...], on: NDArray[np.uint8]) -> None:
    """Where the rank-4 cosine spot exceeds the level, held between limits."""
    above, first, second, below = stretch.rows
    low, high = stretch.limits
    b0, b1, b2, b3 = waves
    w0, w1, w2, w3 = stretch.weights
    a0, a1, a2, a3 = amplitude
    for j in range(first.size):
        level = (w0 * np.int32(above[j]) + w1 * np.int32(first[j])
                 + w2 * np.int32(second[j]) + w3 * np.int32(below[j]))
        level = min(max(np.int32(level), low), high)
        spot = a0 * b0[j] + a1 * b1[j] + a2 * b2[j] + a3 * b3[j]
        on[j] = np.uint8(spot > np.float32(level))


@inner_kernel
def _compare_folds(stretch: Stretch, turns: Turns,
                   turn: tuple[int, int], on: NDArray[np.uint8]) -> None:
    """Where the folded spot exceeds the level; positions are in 2⁻³² periods and wrap."""
    above, first, second, below = stretch.rows
    low, high = stretch.limits
    w0, w1, w2, w3 = stretch.weights
    along, across = turns
    u_row, v_row = turn
    top = np.float32(32766.0 * 16384.0)
    slope = np.float32(32766.0 * 16384.0 / 2147483648.0)
    for j in range(first.size):
        level = (w0 * np.int32(above[j]) + w1 * np.int32(first[j])
                 + w2 * np.int32(second[j]) + w3 * np.int32(below[j]))
        level = min(max(np.int32(level), low), high)
        u = np.int32(along[j] + u_row)
        v = np.int32(across[j] + v_row)
        u = u ^ (u >> _SIGN_SHIFT)
        v = v ^ (v >> _SIGN_SHIFT)
        spot = top - slope * (np.float32(u) + np.float32(v))
        on[j] = np.uint8(spot > np.float32(level))


@inner_kernel
def _ranks_at(ranks: NDArray[np.int16], turns: Turns,
              turn: tuple[int, int], found: NDArray[np.int32]) -> None:
    """The ranked spot at positions in 2⁻³² periods that wrap, in level units × 16384."""
    along, across = turns
    u_row, v_row = turn
    count = np.uint32(ranks.shape[0])
    shift = np.uint32(32)
    while count > np.uint32(1):
        count = np.uint32(count >> np.uint32(1))
        shift = np.uint32(shift - np.uint32(1))
    for j in range(along.size):
        u = np.uint32(along[j] + u_row) >> shift
        v = np.uint32(across[j] + v_row) >> shift
        found[j] = np.int32(ranks[u, v]) << ONE_SHIFT


@inner_kernel
def _compare_ranks(stretch: Stretch, spot: NDArray[np.int32], on: NDArray[np.uint8]) -> None:
    """Where the ranked spot exceeds the level."""
    above, first, second, below = stretch.rows
    low, high = stretch.limits
    w0, w1, w2, w3 = stretch.weights
    for j in range(first.size):
        level = (w0 * np.int32(above[j]) + w1 * np.int32(first[j])
                 + w2 * np.int32(second[j]) + w3 * np.int32(below[j]))
        level = min(max(np.int32(level), low), high)
        on[j] = np.uint8(spot[j] > np.int32(level))


@inner_kernel
def _spot_of_waves(waves: Waves, amplitude: tuple[float, ...],
                   spot: NDArray[np.float32]) -> None:
    """The cosine spot alone, as `_compare_waves` adds it up."""
    b0, b1, b2, b3 = waves
    a0, a1, a2, a3 = amplitude
    for j in range(b0.size):
        spot[j] = a0 * b0[j] + a1 * b1[j] + a2 * b2[j] + a3 * b3[j]


@inner_kernel
def _spot_of_folds(turns: Turns, turn: tuple[int, int],
                   spot: NDArray[np.float32]) -> None:
    """The folded spot alone, as `_compare_folds` has it."""
    along, across = turns
    u_row, v_row = turn
    top = np.float32(32766.0 * 16384.0)
    slope = np.float32(32766.0 * 16384.0 / 2147483648.0)
    for j in range(along.size):
        u = np.int32(along[j] + u_row)
        v = np.int32(across[j] + v_row)
        u = u ^ (u >> _SIGN_SHIFT)
        v = v ^ (v >> _SIGN_SHIFT)
        spot[j] = top - slope * (np.float32(u) + np.float32(v))


@inner_kernel
def cut_dots(stretch: Stretch, spot: FilmSpot, states: CellStates, row: int,
              columns: tuple[int, int], some_gone: bool, room: WorkRoom) -> None:
    """Ink a stretch of one film row where its spot exceeds the level, pixel by pixel."""
    c0, c1 = columns
    waves = (spot.waves[0, c0:c1], spot.waves[1, c0:c1], spot.waves[2, c0:c1],
             spot.waves[3, c0:c1])
    amplitude = (spot.amplitudes[row, 0], spot.amplitudes[row, 1],
                 spot.amplitudes[row, 2], spot.amplitudes[row, 3])
    turns = (spot.column_turns[0, c0:c1], spot.column_turns[1, c0:c1])
    turn = (spot.row_turns[row, 0], spot.row_turns[row, 1])
    ranked = room.cell[:c1 - c0]
    if some_gone:
        if spot.form == WAVES:
            _spot_of_waves(waves, amplitude, room.height)
        elif spot.form == FOLDS:
            _spot_of_folds(turns, turn, room.height)
        else:
            _ranks_at(spot.ranks, turns, turn, ranked)
            for j in range(ranked.size):
                room.height[j] = np.float32(ranked[j])
        compare_thinned(room.height, stretch.rows, stretch.weights, stretch.limits, states,
                        (row, c0), room.cell, room.on)
    elif spot.form == WAVES:
        _compare_waves(stretch, waves, amplitude, room.on)
    elif spot.form == FOLDS:
        _compare_folds(stretch, turns, turn, room.on)
    else:
        _ranks_at(spot.ranks, turns, turn, ranked)
        _compare_ranks(stretch, ranked, room.on)
