"""Tone value increase and its compensation."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from preflight.input_problem import InputProblem
from separations.colour.tone_curve import (
    ToneCurve,
    tone_curve,
)

FINE = np.linspace(0.0, 1.0, 401)


@st.composite
def curves(draw: st.DrawFn) -> ToneCurve:
    films = sorted(draw(st.sets(st.integers(1, 99), min_size=1, max_size=12)))
    prints = sorted(draw(st.lists(st.integers(0, 100), min_size=len(films), max_size=len(films))))
    return tone_curve([f / 100 for f in films], [p / 100 for p in prints])


@given(curves())
def test_curves_never_fall_and_compensate(curve: ToneCurve) -> None:
    prints = curve.printed_tone(FINE)
    assert (np.diff(prints) >= -1e-12).all()
    assert prints[[0, -1]] == pytest.approx([0.0, 1.0])
    films = curve.film_tone(FINE)
    assert (np.diff(films) >= 0.0).all()
    assert np.allclose(curve.printed_tone(films), FINE, atol=0.01)


def test_ends_are_added() -> None:
    curve = tone_curve([0.5], [0.6])
    assert curve.film.tolist() == [0.0, 0.5, 1.0]
    assert curve.printed.tolist() == [0.0, 0.6, 1.0]


@pytest.mark.parametrize(("film", "printed", "found"), [
    ([0.2, 0.1], [0.1, 0.2], "film tones that do not rise"),
    ([0.1, 0.2], [0.3, 0.2], "printed tones that fall"),
    ([0.1, 1.2], [0.3, 0.4], "a tone outside 0 to 100 %"),
    ([0.1], [float("nan")], "a tone that is not a number"),
    ([0.1, 0.2], [0.3], "2 film tones with 1 printed ones"),
    ([0.0, 0.5], [0.1, 0.5], "ink where the film has none"),
    ([0.5, 1.0], [0.4, 0.9], "a solid film printed at 90 %"),
    ([1.0], [0.4], "a solid film printed at 40 %")])
def test_pairs_that_are_no_curve(film: list[float], printed: list[float], found: str) -> None:
    with pytest.raises(InputProblem) as told:
        tone_curve(film, printed, where="job.toml: ink[1].curve")
    assert told.value.sentence == (
        f"job.toml: ink[1].curve: found {found}; film tones that rise from 0 to 100 % with printed "
        "tones that never fall, 0 at 0 and 100 at 100 would do.")
