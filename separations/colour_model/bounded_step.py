"""Compiled quadratic step for a handful of tones between 0 and 1 whose sum is limited."""

from __future__ import annotations

import math

import numpy as np
from numba import njit
from numpy.typing import NDArray

from separations.colour_model.print_kernels import FLAGS

FloatArray = NDArray[np.float64]


@njit(**FLAGS)
def _factor_free(hessian: FloatArray, free: NDArray[np.bool_], factor: FloatArray) -> None:
    """Cholesky factor of the free rows and columns."""
    for row in range(hessian.shape[0]):
        for column in range(row + 1):
            if free[row] and free[column]:
                total = hessian[row, column]
                for inner in range(column):
                    if free[inner]:
                        total -= factor[row, inner] * factor[column, inner]
                if row == column:
                    factor[row, row] = math.sqrt(max(total, 1e-14))
                else:
                    factor[row, column] = total / factor[column, column]


@njit(**FLAGS)
def _solve_free(factor: FloatArray, right: FloatArray, free: NDArray[np.bool_],
                answer: FloatArray) -> None:
    """Solve for the free entries of ``answer``; the others are left alone."""
    inks = right.shape[0]
    for row in range(inks):
        if free[row]:
            total = right[row]
            for inner in range(row):
                if free[inner]:
                    total -= factor[row, inner] * answer[inner]
            answer[row] = total / factor[row, row]
    for row in range(inks - 1, -1, -1):
        if free[row]:
            total = answer[row]
            for inner in range(row + 1, inks):
                if free[inner]:
                    total -= factor[inner, row] * answer[inner]
            answer[row] = total / factor[row, row]


@njit(**FLAGS)
def _free_at_start(gradient: FloatArray, tones: FloatArray, bound: bool,
                   free: NDArray[np.bool_]) -> None:
    """Which tones may move: not those at an end that the gradient presses against."""
    inks = tones.shape[0]
    price = 0.0
    if bound:
        # what steepest descent would pay for the sum
        for ink in range(inks):
            price += max(-gradient[ink], 0.0) if tones[ink] > 0.0 else 0.0
        price /= inks
    for ink in range(inks):
        push = gradient[ink] + price
        held = (tones[ink] <= 0.0 and push >= 0.0) or (tones[ink] >= 1.0 and push <= 0.0)
        free[ink] = not held


@njit(**FLAGS)
def _hold_overshoot(tones: FloatArray, step: FloatArray, free: NDArray[np.bool_]) -> bool:
    """Stop at their ends the tones that overshoot worst; whether there were any."""
    worst = 1e-12
    for ink in range(tones.shape[0]):
        if free[ink]:
            there = tones[ink] + step[ink]
            worst = max(worst, -there, there - 1.0)
    if worst <= 1e-12:
        return False
    for ink in range(tones.shape[0]):
        there = tones[ink] + step[ink]
        if free[ink] and max(-there, there - 1.0) > 0.5 * worst:
            step[ink] = -tones[ink] if there < 0.0 else 1.0 - tones[ink]
            free[ink] = False
    return True


@njit(**FLAGS)
def _meet_sum(factor: FloatArray, excess: float, free: NDArray[np.bool_], space: FloatArray,
              step: FloatArray) -> bool:
    """Shift the free part of a step, at least cost, so that the sum meets its limit.

    Returns whether the limit still binds (it does not when the shift would raise the sum).
    """
    inks = step.shape[0]
    right, answer = space[inks], space[inks + 1]
    for ink in range(inks):
        right[ink] = 1.0
    _solve_free(factor, right, free, answer)
    reach = 0.0
    for ink in range(inks):
        reach += answer[ink] if free[ink] else 0.0
    if reach <= 0.0:
        return True
    if excess <= 0.0:
        return False
    for ink in range(inks):
        if free[ink]:
            step[ink] -= excess / reach * answer[ink]
    return True


@njit(**FLAGS)
def _shorten_rises(total: float, limit: float, step: FloatArray) -> None:
    """Shorten the rising part of a step until the sum fits; ends held too soon can overfill it."""
    fall, rise = 0.0, 0.0
    for ink in range(step.shape[0]):
        fall += min(step[ink], 0.0)
        rise += max(step[ink], 0.0)
    room = max(limit - total - fall, 0.0)
    if rise > room:
        for ink in range(step.shape[0]):
            if step[ink] > 0.0:
                step[ink] *= room / rise


@njit(**FLAGS)
def bounded_step(hessian: FloatArray, gradient: FloatArray, tones: FloatArray, limit: float,
                 space: FloatArray, step: FloatArray) -> None:
    """Step that lowers a quadratic most while the tones stay legal.

    Parameters
    ----------
    hessian : ndarray, shape (k, k), float64
        Half the second derivatives, positive definite.
    gradient : ndarray, shape (k,), float64
        Half the first derivatives.
    tones : ndarray, shape (k,), float64
        Where to start, 0 to 1, sum at most ``limit``.
    limit : float
        Most that the tones may add up to.
    space : ndarray, shape (k + 2, k), float64
        Scratch.
    step : ndarray, shape (k,), float64
        Receives the step: tones + step lie between 0 and 1, their sum at most ``limit``.

    Notes
    -----
    An active-set method; an end once met is held within the call, and is tried again in the
    next.
    """
    inks = tones.shape[0]
    free = np.empty(inks, np.bool_)
    factor, right = space[:inks], space[inks]
    total = 0.0
    for ink in range(inks):
        total += tones[ink]
        step[ink] = 0.0
    _free_at_start(gradient, tones, total >= limit - 1e-12, free)
    binding = False
    for _ in range(2 * inks + 2):
        for ink in range(inks):
            value = -gradient[ink]
            for other in range(inks):
                if not free[other]:
                    value -= hessian[ink, other] * step[other]
            right[ink] = value
        _factor_free(hessian, free, factor)
        _solve_free(factor, right, free, step)
        excess = total - limit
        for ink in range(inks):
            excess += step[ink]
        if binding or excess > 1e-12:
            binding = _meet_sum(factor, excess, free, space, step)
        if not _hold_overshoot(tones, step, free):
            break
    _shorten_rises(total, limit, step)


@njit(**FLAGS)
def make_legal(tones: FloatArray, limit: float) -> None:
    """Bring tones (k,) between 0 and 1 and their sum under the limit, in place."""
    total = 0.0
    for ink in range(tones.shape[0]):
        tones[ink] = min(max(tones[ink], 0.0), 1.0)
        total += tones[ink]
    if total > limit:
        for ink in range(tones.shape[0]):
            tones[ink] *= limit / total
