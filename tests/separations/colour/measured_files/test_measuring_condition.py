"""Measurement conditions, as programs write them."""

from __future__ import annotations

import pytest

from preflight.input_problem import InputProblem
from separations.colour.measured_files.measuring_condition import (
    condition_of_keywords,
    condition_of_values,
)


@pytest.mark.parametrize(("told", "mode"), [
    ({"MEASUREMENT_SOURCE": "M1"}, "M1"),
    ({"MEASUREMENT_SOURCE": "MeasurementCondition=M2 Filter=UVcut"}, "M2"),
    ({"FILTER": "UVcut"}, "M2"), ({"FILTER": "none"}, None), ({"FILTER": "No UV", }, "M2"),
    ({"POLARIZATION": "yes"}, "M3"), ({"POLARIZATION": "No"}, None),
    ({"INSTRUMENTATION": "SM100"}, None), ({"ILLUMINATION_NAME": "D50"}, None), ({}, None)])
def test_modes_are_found_in_keywords(told: dict[str, str], mode: str | None) -> None:
    assert condition_of_keywords(told).mode == mode


@pytest.mark.parametrize(("told", "says"), [
    ({"ILLUMINATION_NAME": "D65"}, "D65"), ({"OBSERVER_ANGLE": "10"}, "10°"),
    ({"WEIGHTING_FUNCTION": '"ILLUMINANT, D65" "OBSERVER, 10 degree"'}, "D65 and 10°")])
def test_colours_for_another_light_or_observer_are_refused(told: dict[str, str], says: str) -> None:
    with pytest.raises(InputProblem, match=f"colours for {says}"):
        condition_of_keywords(told).check_colours("read.txt")
    condition_of_keywords({"ILLUMINATION_NAME": "D50", "OBSERVER_ANGLE": "2"}).check_colours("")


def test_a_cxf_specification_tells_the_same() -> None:
    found = condition_of_values({
        "DeviceIllumination": "M1_Daylight", "Illuminant": "D50", "Observer": "2_Degree",
        "Backing": "White", "Model": "made up"})
    assert (found.mode, found.illuminant, found.observer, found.backing) == (
        "M1", "D50", "2", "White")
    with pytest.raises(InputProblem, match="colours for D65 and 10°"):
        condition_of_values({"Illuminant": "D65", "Observer": "10_Degree"}).check_colours("x")
