"""Compiled quadratic step for a handful of tones between 0 and 1 whose sum is limited."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from separations.runtime.compiled_code import compiled_on_borrowed_arrays, inner_kernel

FloatArray = NDArray[np.float64]


@inner_kernel
def _solve_free(  # noqa: C901
    hessian: FloatArray, free: FloatArray, factor: FloatArray, right: FloatArray,
    step: FloatArray, even: FloatArray,
) -> None:
    """Solve for the free entries of ``step``, and of ``even`` whose right side is all ones.

    Entries that are not free are left alone. ``factor`` receives the Cholesky factor.
    """
    inks = right.shape[0]
    for row in range(inks):
        if free[row] > 0.0:
            for column in range(row + 1):
                if free[column] > 0.0:
                    total = hessian[row, column]
                    for inner in range(column):
                        if free[inner] > 0.0:
                            total -= factor[row, inner] * factor[column, inner]
                    if row > column:
                        factor[row, column] = total / factor[column, column]
                    else:
                        factor[row, row] = math.sqrt(total if total > 1e-14 else 1e-14)
            total, one = right[row], 1.0
            for inner in range(row):
                if free[inner] > 0.0:
                    total -= factor[row, inner] * step[inner]
                    one -= factor[row, inner] * even[inner]
            step[row] = total / factor[row, row]
            even[row] = one / factor[row, row]
    for row in range(inks - 1, -1, -1):
        if free[row] > 0.0:
            total, one = step[row], even[row]
            for inner in range(row + 1, inks):
                if free[inner] > 0.0:
                    total -= factor[inner, row] * step[inner]
                    one -= factor[inner, row] * even[inner]
            step[row] = total / factor[row, row]
            even[row] = one / factor[row, row]


@compiled_on_borrowed_arrays
def limited_step(  # noqa: C901
    hessian: FloatArray, gradient: FloatArray, tones: FloatArray, limit: float,
    space: FloatArray, step: FloatArray,
) -> None:
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
    space : ndarray, shape (k + 3, k), float64
        Scratch.
    step : ndarray, shape (k,), float64
        Receives the step: tones + step lie between 0 and 1, their sum at most ``limit``.

    Notes
    -----
    An active-set method; an end once met is held within the call, and is tried again in the
    next.
    """
    inks = tones.shape[0]
    right, even, free = space[inks], space[inks + 1], space[inks + 2]
    total, price = 0.0, 0.0
    for ink in range(inks):
        total += tones[ink]
        step[ink] = 0.0
        if tones[ink] > 0.0 and gradient[ink] < 0.0:
            price -= gradient[ink]
    # what steepest descent would pay for the sum
    price = price / inks if total >= limit - 1e-12 else 0.0
    for ink in range(inks):
        # not free: at an end that the gradient presses against
        push = gradient[ink] + price
        free[ink] = 1.0
        if (tones[ink] <= 0.0 and push >= 0.0) or (tones[ink] >= 1.0 and push <= 0.0):
            free[ink] = 0.0
    binding = False
    for _ in range(2 * inks + 2):
        for ink in range(inks):
            right[ink] = -gradient[ink]
            for other in range(inks):
                if free[other] == 0.0:
                    right[ink] -= hessian[ink, other] * step[other]
        _solve_free(hessian, free, space, right, step, even)
        excess, reach = total - limit, 0.0
        for ink in range(inks):
            excess += step[ink]
            reach += even[ink] if free[ink] > 0.0 else 0.0
        if binding or excess > 1e-12:
            # shift the free part, at least cost, to meet the limit; where that would raise the
            # sum, the limit binds no longer
            binding = reach <= 0.0 or excess > 0.0
            for ink in range(inks):
                if free[ink] > 0.0 and reach > 0.0 and excess > 0.0:
                    step[ink] -= excess / reach * even[ink]
        worst = 1e-12
        for ink in range(inks):
            there = tones[ink] + step[ink]
            over = -there if there < 0.5 else there - 1.0
            if free[ink] > 0.0 and over > worst:
                worst = over
        if worst <= 1e-12:
            break
        for ink in range(inks):
            # stop at their ends those that overshoot worst
            there = tones[ink] + step[ink]
            over = -there if there < 0.5 else there - 1.0
            if free[ink] > 0.0 and over > 0.5 * worst:
                step[ink] = -tones[ink] if there < 0.0 else 1.0 - tones[ink]
                free[ink] = 0.0
    # shorten what rises until the sum fits: ends held too soon can overfill it
    fall, rise = 0.0, 0.0
    for ink in range(inks):
        if step[ink] < 0.0:
            fall += step[ink]
        else:
            rise += step[ink]
    room = limit - total - fall
    room = room if room > 0.0 else 0.0
    if rise > room:
        for ink in range(inks):
            if step[ink] > 0.0:
                step[ink] *= room / rise


@compiled_on_borrowed_arrays
def make_legal(tones: FloatArray, limit: float) -> None:
    """Bring tones (k,) between 0 and 1 and their sum under the limit, in place."""
    total = 0.0
    for ink in range(tones.shape[0]):
        tone = tones[ink] if tones[ink] > 0.0 else 0.0
        tones[ink] = tone if tone < 1.0 else 1.0
        total += tones[ink]
    if total > limit:
        for ink in range(tones.shape[0]):
            tones[ink] *= limit / total
