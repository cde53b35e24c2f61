"""Compiled search for the film tones that print nearest a colour.

One small problem per row: Gauss-Newton steps in the local CIEDE2000 metric, each step a
quadratic programme with the tones kept between 0 and 1 and their sum under its limit.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from separations.colour.difference_metric import colour_metric
from separations.colour.limited_step import limited_step, make_legal
from separations.colour.print_kernels import (
    PrintSums,
    Scratch,
    lab_and_slopes,
    scratch_for,
)
from separations.runtime.compiled_code import compiled_on_borrowed_arrays, inner_kernel

FloatArray = NDArray[np.float64]

#: Steps for which the metric about the present difference is kept.
_METRIC_KEPT = 4
#: Dampings tried for one step, and what ends the search: tone, and dE00 squared.
_TRIES = 8
_LEAST_STEP = 1e-6
_LEAST_GAIN = 1e-9


class Wishes(NamedTuple):
    """What is wanted beside the colour.

    Attributes
    ----------
    tone_sum_limit : float
        Most that the tones of one place may add up to.
    ink_weight : float
        Cost (dE00 squared) of the square of each tone: fewest inks.
    black_ink : int
        Index of the black ink, or -1.
    black_weight : float
        Cost (dE00 squared) of the square of black's distance from its wish.
    weights : tuple of three float
        How much dearer than in CIEDE2000 lightness, chroma with hue, and hue alone are.
    steps : int
        Most steps taken.
    """

    tone_sum_limit: float
    ink_weight: float
    black_ink: int
    black_weight: float
    weights: tuple[float, float, float]
    steps: int


class Wanted(NamedTuple):
    """What each of N rows is to become.

    Attributes
    ----------
    lab : ndarray, shape (N, 3), float64
        Lab D50 wanted.
    black : ndarray, shape (N,), float64
        Tone wished of the black ink, 0 to 1.
    pulls : ndarray, shape (N, k), float64
        Tones drawn towards, 0 to 1.
    pull_weights : ndarray, shape (N,), float64
        Cost (dE00 squared) of the square of each tone's distance from the pull.
    """

    lab: FloatArray
    black: FloatArray
    pulls: FloatArray
    pull_weights: FloatArray


class Point(NamedTuple):
    """Tones (k,), their ``lab`` (3,) and d Lab / d tone ``slopes`` (3, k)."""

    tones: FloatArray
    lab: FloatArray
    slopes: FloatArray


class Rooms(NamedTuple):
    """Working space of a search: two points, and what `limited_step` takes."""

    now: Point
    trial: Point
    scratch: Scratch
    metric: FloatArray
    hessian: FloatArray
    gradient: FloatArray
    step: FloatArray
    space: FloatArray


@inner_kernel
def _cost(at: Point, metric: FloatArray, want: Wanted, row: int, wishes: Wishes) -> float:
    cost = 0.0
    for axis in range(3):
        for other in range(3):
            cost += ((at.lab[axis] - want.lab[row, axis]) * metric[axis, other]
                     * (at.lab[other] - want.lab[row, other]))
    for ink in range(at.tones.shape[0]):
        tone = at.tones[ink]
        away = tone - want.pulls[row, ink]
        cost += wishes.ink_weight * tone * tone
        cost += want.pull_weights[row] * away * away
    if wishes.black_ink >= 0:
        away = at.tones[wishes.black_ink] - want.black[row]
        cost += wishes.black_weight * away * away
    return cost


@inner_kernel
def _quadratic(now: Point, metric: FloatArray, want: Wanted, place: int, wishes: Wishes,
               hessian: FloatArray, gradient: FloatArray) -> None:
    """Half the second and first derivatives of the cost at a point."""
    tones, slopes = now.tones, now.slopes
    inks = tones.shape[0]
    hold = want.pull_weights[place]
    for ink in range(inks):
        gradient[ink] = 0.0
        for other in range(inks):
            hessian[ink, other] = 0.0
    for row in range(3):
        for column in range(3):
            weight = metric[row, column]
            if weight != 0.0:
                difference = now.lab[column] - want.lab[place, column]
                for ink in range(inks):
                    part = weight * slopes[row, ink]
                    gradient[ink] += part * difference
                    for other in range(inks):
                        hessian[ink, other] += part * slopes[column, other]
    for ink in range(inks):
        hessian[ink, ink] += wishes.ink_weight + hold
        gradient[ink] += wishes.ink_weight * tones[ink]
        gradient[ink] += hold * (tones[ink] - want.pulls[place, ink])
    if wishes.black_ink >= 0:
        black = wishes.black_ink
        hessian[black, black] += wishes.black_weight
        gradient[black] += wishes.black_weight * (tones[black] - want.black[place])


def rooms_for(inks: int) -> Rooms:
    """Working space for that many inks, for one thread."""
    return Rooms(
        now=_point(inks), trial=_point(inks), scratch=scratch_for(inks), metric=np.empty((3, 3)),
        hessian=np.empty((inks, inks)), gradient=np.empty(inks), step=np.empty(inks),
        space=np.empty((inks + 3, inks)))


def _point(inks: int) -> Point:
    return Point(np.empty(inks), np.empty(3), np.empty((3, inks)))


@compiled_on_borrowed_arrays
def solve_rows(  # noqa: C901
    want: Wanted, sums: PrintSums, wishes: Wishes, rooms: Rooms, tones: FloatArray,
    costs: FloatArray,
) -> None:
    """Improve film tones towards target colours, row by row.

    Parameters
    ----------
    want : Wanted
        What each row is to become.
    sums : PrintSums
        The print model.
    wishes : Wishes
        Limits and preferences.
    rooms : Rooms
        Working space, from `rooms_for`; no two threads may share it.
    tones : ndarray, shape (N, k), float64
        Start, 0 to 1; receives the solution.
    costs : ndarray, shape (N,), float64
        Receives each row's cost (dE00 squared, with preferences).
    """
    inks = tones.shape[1]
    now, trial, scratch = rooms.now, rooms.trial, rooms.scratch
    metric, hessian, gradient, step = rooms.metric, rooms.hessian, rooms.gradient, rooms.step
    limit = wishes.tone_sum_limit
    for row in range(tones.shape[0]):
        target = want.lab[row]
        for ink in range(inks):
            now.tones[ink] = tones[row, ink]
        make_legal(now.tones, limit)
        lab_and_slopes(now.tones, sums, scratch, now.lab, now.slopes)
        damping, cost = 1e-3, 0.0
        for count in range(wishes.steps):
            if count % _METRIC_KEPT == 0:
                colour_metric(now.lab, target, wishes.weights, metric)
                cost = _cost(now, metric, want, row, wishes)
            largest, gain = 0.0, -1.0
            for _ in range(_TRIES):
                _quadratic(now, metric, want, row, wishes, hessian, gradient)
                for ink in range(inks):
                    hessian[ink, ink] += damping * (1.0 + hessian[ink, ink])
                limited_step(hessian, gradient, now.tones, limit, rooms.space, step)
                largest = 0.0
                for ink in range(inks):
                    trial.tones[ink] = now.tones[ink] + step[ink]
                    largest = abs(step[ink]) if abs(step[ink]) > largest else largest
                if largest < _LEAST_STEP:
                    break
                make_legal(trial.tones, limit)
                lab_and_slopes(trial.tones, sums, scratch, trial.lab, trial.slopes)
                gain = cost - _cost(trial, metric, want, row, wishes)
                if gain > 0.0:
                    break
                damping = damping * 8.0 if damping * 8.0 > 1e-3 else 1e-3
            if gain > 0.0:
                now, trial = trial, now
                cost -= gain
                damping = damping * 0.2 if damping * 0.2 > 1e-7 else 1e-7
            if gain < _LEAST_GAIN or largest < _LEAST_STEP:
                break
        colour_metric(now.lab, target, wishes.weights, metric)
        costs[row] = _cost(now, metric, want, row, wishes)
        for ink in range(inks):
            tones[row, ink] = now.tones[ink]
