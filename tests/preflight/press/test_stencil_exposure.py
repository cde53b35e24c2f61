"""Exposure times from a step scale, and the keys that tell of it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from preflight.press.stencil_exposure import exposure_time, step_times
from separations.report.exposure_words import exposures_told

READ = ('thread = "34 um"', 'thread = "34 um"\nexposed = "40 s"\nsolid_step = 5')


def test_a_stencil_that_holds_step_seven_is_exposed_as_it_was() -> None:
    time = exposure_time(40.0, 7)
    assert time.best_s == pytest.approx(40.0)
    assert time.low_s < 40.0 < time.high_s
    assert time.high_s / time.low_s == pytest.approx(2 ** 0.5, rel=0.005)  # one step in all


def test_steps_for_a_trial_lie_about_the_time() -> None:
    times = step_times(40.0, 5)
    assert times[2] == 40.0
    assert list(times) == sorted(times)
    assert times[4] / times[0] == pytest.approx(4.0, rel=0.01)


def test_sheets_tell_the_time_of_each_mesh_that_was_read(small_job: Callable[..., Path]) -> None:
    assert exposures_told(read_job(small_job())) == ()
    mesh, lamps = exposures_told(read_job(small_job(READ)))
    assert "expose 80 s (67 to 95 s)" in mesh
    assert "120/cm, thread 34 µm" in mesh
    assert "Lamps" in lamps
    assert "ulano.com/exposure" in lamps


@pytest.mark.parametrize("bad", [
    'exposed = "40 s"', "solid_step = 6", 'exposed = "0 s"\nsolid_step = 6',
    'exposed = "40 s"\nsolid_step = 22', 'exposed = "long"\nsolid_step = 6'])
def test_half_a_reading_or_none_that_makes_sense_is_refused(small_job: Callable[..., Path],
                                                            bad: str) -> None:
    with pytest.raises(InputProblem, match=r"mesh.*would do"):
        read_job(small_job(('thread = "34 um"', f'thread = "34 um"\n{bad}')))
