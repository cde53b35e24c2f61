"""Exposure factors against a published step scale.

"How to Use the Stouffer 21 Wedge", capefearpress.com/stouffer.html: 21 steps, density increment
0.15, half an f-stop a step, greatest density 3.05. "How do I test exposure", ulano.com/exposure: at
least a solid step 7 is to survive the washing out of a direct stencil. "Using the … Exposure
Calculator, Part II", macdermidconnect.com, 6 May 2019: the factor at which the colour stops
changing times the test exposure is the correct time, 0.7 times 10 minutes being 7; should it still
change between 0.7 and 1, the test is repeated with twice the time.
"""

from __future__ import annotations

import pytest

from preflight.press.stencil_exposure import (
    STEP_DENSITY,
    STEPS,
    WANTED_STEP,
    ExposedRow,
    exposure_of_rows,
    exposure_time,
    step_factor,
)


def test_the_scale_spans_its_published_densities() -> None:
    """Clear film of 0.05 (greatest less twenty increments) to 3.05."""
    assert pytest.approx(0.05) == 3.05 - (STEPS - 1) * STEP_DENSITY
    assert WANTED_STEP == 7


@pytest.mark.parametrize(("steps", "f_stops"), [(1, 0.5), (2, 1.0), (3, 1.5), (4, 2.0), (-2, -1.0)])
def test_a_step_is_half_an_f_stop(steps: int, f_stops: float) -> None:
    """An f-stop doubles the light; densities of 0.15 round it by a third of a per cent a step."""
    assert step_factor(7, 7 + steps) == pytest.approx(2.0**f_stops, rel=0.004 * abs(steps))


@pytest.mark.parametrize(("held", "factor"), [(5, 2.0), (6, 1.41), (7, 1.0), (8, 0.71), (9, 0.5)])
def test_time_for_a_solid_step_seven(held: int, factor: float) -> None:
    assert exposure_time(30.0, held).best_s == pytest.approx(30.0 * factor, rel=0.01)


def test_the_first_factor_without_a_change_is_the_right_one() -> None:
    """The published example: factors of a ten minute test, unchanged from 0.7 on."""
    factors = (0.25, 0.33, 0.5, 0.7, 1.0)
    rows = [ExposedRow(seconds=factor * 600, solid_holds=factor >= 0.7) for factor in factors]
    found = exposure_of_rows(rows)
    assert found.best_s == pytest.approx(7 * 60)
    assert 0.5 * 600 < found.low_s < found.best_s < found.high_s


def test_a_test_that_still_changes_at_its_end_tells_no_time() -> None:
    """The published advice is to double it; no time is made up."""
    with pytest.raises(ValueError, match="no solid holds"):
        exposure_of_rows([ExposedRow(seconds=s, solid_holds=False) for s in (300, 420, 600)])


def test_two_steps_less_solid_ask_for_twice_the_time() -> None:
    found = exposure_of_rows([ExposedRow(seconds=40.0, solid_holds=True, solid_step=5)])
    assert found.best_s == pytest.approx(80.0, rel=0.005)
