"""The quadratic step against a general solver."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, minimize

from separations.colour.limited_step import limited_step, make_legal

Array = NDArray[np.float64]


@pytest.mark.parametrize("inks", [1, 3, 4, 6])
def test_repeated_steps_reach_the_constrained_minimum(inks: int) -> None:
    rng = np.random.default_rng(inks)
    for _ in range(25):
        root = rng.normal(size=(inks, inks))
        hessian = root @ root.T + 0.1 * np.eye(inks)
        wish = rng.uniform(-0.6, 1.6, inks)
        limit = float(rng.uniform(0.3, inks))
        tones, step = np.full(inks, min(0.5, limit / inks)), np.empty(inks)
        for _ in range(12):
            limited_step(hessian, hessian @ (tones - wish), tones, limit,
                         np.empty((inks + 3, inks)), step)
            tones = tones + step
            assert tones.min() >= -1e-12
            assert tones.max() <= 1.0 + 1e-12
            assert tones.sum() <= limit + 1e-9
            make_legal(tones, limit)

        best = general_minimum(hessian, wish, limit)
        assert quadratic(tones, wish, hessian) <= best + 0.02 * (1.0 + best)


def quadratic(x: Array, wish: Array, hessian: Array) -> float:
    return float((x - wish) @ hessian @ (x - wish))


def general_minimum(hessian: Array, wish: Array, limit: float) -> float:
    inks = len(wish)
    found: Any = minimize(
        quadratic, np.full(inks, limit / inks / 2), args=(wish, hessian),
        bounds=Bounds(np.zeros(inks), np.ones(inks)),
        constraints=LinearConstraint(np.ones((1, inks)), -np.inf, limit),
        method="SLSQP", options={"ftol": 1e-12, "maxiter": 300})
    return float(found.fun)


def test_make_legal() -> None:
    tones = np.array([-0.2, 1.4, 0.8, 0.9])
    make_legal(tones, 1.5)
    assert tones.min() >= 0.0
    assert tones.sum() <= 1.5 + 1e-12
