"""Tone value and area: worked figures, and the same films from either."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.colour.job_inks import curve_of, solid_on_wood, whole_model, yule_nielsen_n
from separations.colour.tone_values import (
    area_of_tone_value,
    tone_value_of_area,
)


@pytest.mark.parametrize(("density", "n", "told", "asked"), [
    (0.8, 1.7, 0.5880, 0.4152), (0.8, 2.0, 0.6076, 0.3969), (1.0, 1.7, 0.6059, 0.3996),
    (1.0, 2.0, 0.6299, 0.3779), (1.4, 1.7, 0.6349, 0.3758), (1.4, 2.0, 0.6668, 0.3485)])
def test_worked_figures(density: float, n: float, told: float, asked: float) -> None:
    """An area of 50 % by Murray-Davies, and the area of a tone value of 50 %.

    Source: the laws of Murray 1936 and Yule and Nielsen 1951, worked with another program.
    """
    solid = 10.0**-density
    assert tone_value_of_area(0.5, solid, n) == pytest.approx(told, abs=6e-5)
    assert area_of_tone_value(0.5, solid, n) == pytest.approx(asked, abs=6e-5)


def test_they_undo_each_other_and_are_one_without_scatter() -> None:
    areas = np.linspace(0.0, 1.0, 21)
    np.testing.assert_allclose(
        area_of_tone_value(tone_value_of_area(areas, 0.07, 1.7), 0.07, 1.7), areas, atol=1e-12)
    np.testing.assert_allclose(tone_value_of_area(areas, 0.07, 1.0), areas, atol=1e-12)


def test_a_densitometers_pairs_give_the_films_that_areas_give(
    small_job: Callable[..., Path]
) -> None:
    by_area = 'tone_curve = [[20, 28], [50, 60], [80, 86]]\n'
    path = small_job(("[halftone]\n", f"[halftone]\n{by_area}"))
    job = read_job(path)
    black = job.ink[3]
    told = 100 * tone_value_of_area(
        np.array([0.28, 0.60, 0.86]), solid_on_wood(job, black), yule_nielsen_n(job))
    assert told[1] > 70
    pairs = ", ".join(f"[{film}, {one:.6f}]" for film, one in zip((20, 50, 80), told, strict=True))
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace(
        by_area, f'tone_curve = [{pairs}]\ntone_curve_tells = "tone value"\n'), encoding="utf-8")
    other = read_job(path)
    tones = np.linspace(0.0, 1.0, 41)
    np.testing.assert_allclose(curve_of(other, other.ink[3]).printed_tone(tones),
                               curve_of(job, black).printed_tone(tones), atol=1e-6)
    alone = np.zeros((41, 4))
    alone[:, 3] = tones
    np.testing.assert_allclose(whole_model(other).predict_lab(alone),
                               whole_model(job).predict_lab(alone), atol=1e-3)
    path.write_text(text.replace(by_area, 'tone_curve_tells = "density"\n'), encoding="utf-8")
    with pytest.raises(InputProblem, match="tone_curve_tells"):
        read_job(path)
