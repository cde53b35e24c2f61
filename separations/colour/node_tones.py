"""Film tones at the nodes of a lattice, so that neighbouring nodes agree.

Where several sets of tones print alike, or none prints what is wanted, each node by itself may
fall to either side. Coarse nodes are solved from many starts, finer ones from the coarse; what
still jumps is drawn towards its neighbours until it no longer does.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from separations.colour.inversion import (
    Seeds,
    TonePreferences,
    TonePull,
    best_of_starts,
    improved,
)
from separations.colour.print_model import PrintModel

FloatArray = NDArray[np.float64]

_COARSE_STEP = 4
#: Weights of the pull towards the neighbours, dE00 squared per tone squared.
_REFINING_PULL = 1.0
_SMOOTHING_PULL = 4.0
#: A step between neighbours that is still smoothed away (tone, 0 to 1), the growth of the pull
#: from one sweep to the next, and how far around a jump (nodes) it acts.
_LARGEST_STEP = 0.24
_PULL_GROWTH = 3.0
_REACH = 3
_SWEEPS = 24


def solved_nodes(model: PrintModel, wanted: FloatArray, wishes: FloatArray, seeds: Seeds,
                 preferences: TonePreferences) -> FloatArray:
    """Film tones at every node.

    Parameters
    ----------
    model : PrintModel
        Substrate and k inks.
    wanted : ndarray, shape (m, m, m, 3), float64
        Lab D50 wanted; m - 1 is a multiple of 4.
    wishes : ndarray, shape (m, m, m), float64
        Tone wished of the black ink, 0 to 1.
    seeds : Seeds
        Starting points.
    preferences : TonePreferences
        Limits and wishes.

    Returns
    -------
    ndarray, shape (m, m, m, k), float64
        Film tones, 0 to 1.
    """
    coarse = (slice(None, None, _COARSE_STEP),) * 3
    targets, wish = wanted[coarse], wishes[coarse]
    nodes = best_of_starts(model, _rows(targets), np.ascontiguousarray(wish.ravel()), seeds,
                           preferences)
    nodes = _shared(model, targets, wish, nodes.reshape(*targets.shape[:3], -1), preferences)
    for step in (2, 1):
        part = (slice(None, None, step),) * 3
        nodes = doubled(nodes)
        near = TonePull(tones=_rows(nodes), weights=np.full(nodes[..., 0].size, _REFINING_PULL))
        found, _ = improved(model, _rows(wanted[part]), wishes[part].ravel(), _rows(nodes),
                            replace(preferences, steps=10), pull=near)
        nodes = found.reshape(nodes.shape)
    return _smoothed(model, wanted, wishes, nodes, preferences)


def _rows(nodes: FloatArray) -> FloatArray:
    return np.ascontiguousarray(nodes.reshape(-1, nodes.shape[-1]))


def _shared(model: PrintModel, wanted: FloatArray, wishes: FloatArray, nodes: FloatArray,
            preferences: TonePreferences) -> FloatArray:
    """Coarse nodes, each solved again from its neighbours' tones if that is better."""
    targets, wish = _rows(wanted), np.ascontiguousarray(wishes.ravel())
    best, least = improved(model, targets, wish, _rows(nodes), preferences)
    for axis in range(3):
        for shift in (1, -1):
            moved = _rows(np.roll(best.reshape(nodes.shape), shift, axis=axis))
            found, costs = improved(model, targets, wish, moved, preferences)
            better = costs < least - 1e-6
            best[better], least[better] = found[better], costs[better]
    return best.reshape(nodes.shape)


def _smoothed(model: PrintModel, wanted: FloatArray, wishes: FloatArray, nodes: FloatArray,
              preferences: TonePreferences) -> FloatArray:
    """Nodes drawn towards their neighbours, ever harder where they still jump."""
    from scipy.ndimage import maximum_filter

    weights = np.full(nodes.shape[:3], _SMOOTHING_PULL)
    rough = np.ones(nodes.shape[:3], np.bool_)
    few_steps = replace(preferences, steps=3)
    for _ in range(_SWEEPS):
        near = TonePull(tones=_neighbours(nodes)[rough], weights=weights[rough])
        found, _ = improved(model, wanted[rough], wishes[rough], nodes[rough], few_steps,
                            pull=near)
        nodes = nodes.copy()
        nodes[rough] = found
        rough = maximum_filter(largest_steps(nodes) > _LARGEST_STEP, size=2 * _REACH + 1)
        if not rough.any():
            break
        weights[rough] *= _PULL_GROWTH
    return nodes


def largest_steps(nodes: FloatArray) -> FloatArray:
    """Largest change of any tone from each node to its six neighbours; shape (m, m, m)."""
    largest = np.zeros(nodes.shape[:3])
    for axis in range(3):
        step = np.abs(np.diff(nodes, axis=axis)).max(axis=-1)
        ahead: list[slice] = [slice(None)] * 3
        behind = list(ahead)
        ahead[axis], behind[axis] = slice(1, None), slice(None, -1)
        largest[tuple(ahead)] = np.maximum(largest[tuple(ahead)], step)
        largest[tuple(behind)] = np.maximum(largest[tuple(behind)], step)
    return largest


def doubled(nodes: FloatArray) -> FloatArray:
    """Midpoints put between the nodes along each axis; (m, m, m, k) to (2m - 1, ..., k)."""
    for axis in range(3):
        count = nodes.shape[axis]
        shape = list(nodes.shape)
        shape[axis] = 2 * count - 1
        wide = np.empty(shape)
        at: list[slice] = [slice(None)] * nodes.ndim
        low, high = list(at), list(at)
        low[axis], high[axis] = slice(None, -1), slice(1, None)
        at[axis] = slice(0, None, 2)
        wide[tuple(at)] = nodes
        at[axis] = slice(1, None, 2)
        wide[tuple(at)] = 0.5 * (nodes[tuple(low)] + nodes[tuple(high)])
        nodes = wide
    return nodes


def _neighbours(nodes: FloatArray) -> FloatArray:
    """Mean of each node and its neighbours, along the axes that have one on both sides."""
    total, count = np.zeros_like(nodes), np.zeros((*nodes.shape[:3], 1))
    for axis in range(3):
        inner: list[slice] = [slice(None)] * 4
        before, after = list(inner), list(inner)
        inner[axis], before[axis], after[axis] = slice(1, -1), slice(None, -2), slice(2, None)
        total[tuple(inner)] += 0.5 * (nodes[tuple(before)] + nodes[tuple(after)])
        count[tuple(inner)] += 1.0
    beside = np.where(count > 0.0, total / np.maximum(count, 1.0), nodes)
    return np.asarray(0.5 * (nodes + beside))
