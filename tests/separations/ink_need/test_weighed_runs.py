"""Weighed runs: the factor that they tell, and a range that shrinks with each."""

from __future__ import annotations

import numpy as np
import pytest

from separations.ink_need.ink_estimate import Range
from separations.ink_need.weighed_runs import next_run

RECKONED = Range(low=300.0, likely=500.0, high=800.0)


def test_without_a_weighed_run_the_estimate_stands() -> None:
    assert next_run(RECKONED, ()) is RECKONED


def test_the_range_shrinks_with_each_run_and_its_middle_goes_to_what_was_weighed() -> None:
    spans, middles = [], []
    for runs in (1, 2, 3, 6, 12):
        found = next_run(RECKONED, [0.8] * runs)
        spans.append(found.high / found.low)
        middles.append(found.likely)
    assert spans == sorted(spans, reverse=True)
    assert spans[0] < RECKONED.high / RECKONED.low
    assert middles == sorted(middles, reverse=True)
    assert middles[-1] == pytest.approx(0.8 * 500, rel=0.01)
    assert 0.8 * 500 < middles[0] < 500


def test_nine_in_ten_made_up_runs_fall_into_the_range() -> None:
    """Runs drawn about a factor that the estimate's own range allows, 15 % from run to run."""
    random = np.random.default_rng(7)
    inside = []
    for _ in range(3000):
        factor = random.normal(0.0, np.log(800 / 300) / 2 / 1.645)
        ratios = np.exp(random.normal(factor, 0.15, 7))
        found = next_run(RECKONED, ratios[:6].tolist())
        inside.append(found.low <= ratios[6] * 500 <= found.high)
    assert np.mean(inside) == pytest.approx(0.9, abs=0.04)
