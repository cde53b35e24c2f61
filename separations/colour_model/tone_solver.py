"""Compiled search for the film tones that print nearest a colour.

One small problem per row: Gauss-Newton steps in the local CIEDE2000 metric, each step a
quadratic programme with the tones kept between 0 and 1 and their sum under its limit.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from separations.colour_model.bounded_step import bounded_step, make_legal
from separations.colour_model.difference_metric import colour_metric
from separations.colour_model.print_kernels import (
    FLAGS,
    PrintSums,
    Scratch,
    lab_and_slopes,
    scratch_for,
)

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
    """Tones (k,), their ``lab`` (3,), d Lab / d tone ``slopes`` (3, k), and Lab less the target."""

    tones: FloatArray
    lab: FloatArray
    slopes: FloatArray
    difference: FloatArray


@njit(**FLAGS)
def _cost(at: Point, metric: FloatArray, want: Wanted, row: int, wishes: Wishes) -> float:
    tones, difference = at.tones, at.difference
    cost = 0.0
    for axis in range(3):
        for other in range(3):
            cost += difference[axis] * metric[axis, other] * difference[other]
    for ink in range(tones.shape[0]):
        cost += wishes.ink_weight * tones[ink] ** 2
        cost += want.pull_weights[row] * (tones[ink] - want.pulls[row, ink]) ** 2
    if wishes.black_ink >= 0:
        cost += wishes.black_weight * (tones[wishes.black_ink] - want.black[row]) ** 2
    return cost


@njit(**FLAGS)
def _quadratic(now: Point, metric: FloatArray, want: Wanted, place: int, wishes: Wishes,
               hessian: FloatArray, gradient: FloatArray) -> None:
    """Half the second and first derivatives of the cost at a point."""
    tones, slopes, difference = now.tones, now.slopes, now.difference
    inks = tones.shape[0]
    for ink in range(inks):
        gradient[ink] = 0.0
        for other in range(inks):
            hessian[ink, other] = 0.0
    for row in range(3):
        for column in range(3):
            weight = metric[row, column]
            if weight != 0.0:
                for ink in range(inks):
                    part = weight * slopes[row, ink]
                    gradient[ink] += part * difference[column]
                    for other in range(inks):
                        hessian[ink, other] += part * slopes[column, other]
    for ink in range(inks):
        hold = want.pull_weights[place]
        hessian[ink, ink] += wishes.ink_weight + hold
        gradient[ink] += wishes.ink_weight * tones[ink]
        gradient[ink] += hold * (tones[ink] - want.pulls[place, ink])
    if wishes.black_ink >= 0:
        black = wishes.black_ink
        hessian[black, black] += wishes.black_weight
        gradient[black] += wishes.black_weight * (tones[black] - want.black[place])


@njit(**FLAGS)
def _look(sums: PrintSums, scratch: Scratch, target: FloatArray, at: Point) -> None:
    """Colour, slopes and difference at a point's tones."""
    lab_and_slopes(at.tones, sums, scratch, at.lab, at.slopes)
    for axis in range(3):
        at.difference[axis] = at.lab[axis] - target[axis]


@njit(**FLAGS)
def _new_point(inks: int) -> Point:
    return Point(np.empty(inks), np.empty(3), np.empty((3, inks)), np.empty(3))


@njit(**FLAGS)
def _take(source: Point, into: Point) -> None:
    for axis in range(3):
        into.lab[axis] = source.lab[axis]
        into.difference[axis] = source.difference[axis]
        for ink in range(source.tones.shape[0]):
            into.slopes[axis, ink] = source.slopes[axis, ink]
    for ink in range(source.tones.shape[0]):
        into.tones[ink] = source.tones[ink]


@njit(**FLAGS)
def solve_rows(  # noqa: C901
    want: Wanted, sums: PrintSums, wishes: Wishes, tones: FloatArray, costs: FloatArray,
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
    tones : ndarray, shape (N, k), float64
        Start, 0 to 1; receives the solution.
    costs : ndarray, shape (N,), float64
        Receives each row's cost (dE00 squared, with preferences).
    """
    inks = tones.shape[1]
    scratch = scratch_for(inks)
    metric, hessian = np.empty((3, 3)), np.empty((inks, inks))
    gradient, step, space = np.empty(inks), np.empty(inks), np.empty((inks + 2, inks))
    now, trial = _new_point(inks), _new_point(inks)
    for row in range(tones.shape[0]):
        target = want.lab[row]
        for ink in range(inks):
            now.tones[ink] = tones[row, ink]
        make_legal(now.tones, wishes.tone_sum_limit)
        _look(sums, scratch, target, now)
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
                bounded_step(hessian, gradient, now.tones, wishes.tone_sum_limit, space, step)
                largest = 0.0
                for ink in range(inks):
                    trial.tones[ink] = now.tones[ink] + step[ink]
                    largest = max(largest, abs(step[ink]))
                if largest < _LEAST_STEP:
                    break
                make_legal(trial.tones, wishes.tone_sum_limit)
                _look(sums, scratch, target, trial)
                gain = cost - _cost(trial, metric, want, row, wishes)
                if gain > 0.0:
                    break
                damping = max(damping * 8.0, 1e-3)
            if gain > 0.0:
                _take(trial, now)
                cost -= gain
                damping = max(damping * 0.2, 1e-7)
            if gain < _LEAST_GAIN or largest < _LEAST_STEP:
                break
        colour_metric(now.lab, target, wishes.weights, metric)
        costs[row] = _cost(now, metric, want, row, wishes)
        for ink in range(inks):
            tones[row, ink] = now.tones[ink]
