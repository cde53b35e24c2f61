"""Boards drawn from a few numbers."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from preflight.board.board_outline import BoardOutline
from preflight.board.outline_from_numbers import BoardNumbers, EndShape, outline_from_numbers
from preflight.input_problem import InputProblem

NUMBERS = BoardNumbers(length_mm=1600.0, nose_width_mm=300.0, waist_width_mm=254.0,
                       contact_length_mm=1200.0, taper_mm=12.0)


def check_widths(numbers: BoardNumbers, outline: BoardOutline) -> None:
    tail = numbers.tail_width_mm
    if tail is None:
        tail = numbers.nose_width_mm - (numbers.taper_mm or 0.0)
    waist_x = outline.waist_x_mm
    assert waist_x is not None
    assert outline.ring_mm[:, 0].max() == pytest.approx(numbers.length_mm / 2, abs=1e-3)
    assert outline.ring_mm[:, 0].min() == pytest.approx(-numbers.length_mm / 2, abs=1e-3)
    assert outline.width_at(waist_x) == pytest.approx(numbers.waist_width_mm, abs=1e-6)
    stations = np.unique(outline.ring_mm[:, 0])
    for end, asked in ((stations[stations >= waist_x], numbers.nose_width_mm),
                       (stations[stations <= waist_x], tail)):
        assert max(outline.width_at(float(x)) for x in end) == pytest.approx(asked, abs=0.01)
    middle_x = -numbers.setback_mm
    between = outline.ring_mm[np.abs(outline.ring_mm[:, 0] - middle_x)
                              <= numbers.contact_length_mm / 2 + 1e-6]
    assert 2 * np.abs(between[:, 1]).min() == pytest.approx(numbers.waist_width_mm, abs=1e-6)
    assert outline.polygon.is_valid
    assert outline.polygon.exterior.is_ccw


@pytest.mark.parametrize("shape", ["pointed", "round", "blunt"])
@pytest.mark.parametrize("taper_mm", [0.0, 12.0, -12.0])
@pytest.mark.parametrize("setback_mm", [0.0, 15.0])
def test_widths_asked_are_widths_measured(shape: EndShape, taper_mm: float,
                                          setback_mm: float) -> None:
    numbers = replace(NUMBERS, nose_shape=shape, tail_shape=shape, taper_mm=taper_mm,
                      setback_mm=setback_mm)
    check_widths(numbers, outline_from_numbers(numbers))


@settings(max_examples=30, deadline=None)
@given(length=st.floats(700, 2900), nose=st.floats(0.12, 0.2), waist=st.floats(0.75, 0.99),
       tail=st.floats(0.0, 1.0), contact=st.floats(0.6, 0.9),
       shape=st.sampled_from(["pointed", "round", "blunt"]))
def test_any_likely_board_measures_as_asked(length: float, nose: float, waist: float, tail: float,
                                            contact: float, shape: EndShape) -> None:
    if shape == "blunt":  # a blunt end this long cannot meet a deep sidecut: see below
        contact = max(contact, 0.7)
    nose_mm = nose * length
    waist_mm = waist * nose_mm
    numbers = BoardNumbers(
        length_mm=length, nose_width_mm=nose_mm, waist_width_mm=waist_mm,
        tail_width_mm=waist_mm + tail * (nose_mm - waist_mm), contact_length_mm=contact * length,
        nose_shape=shape, tail_shape=shape)
    check_widths(numbers, outline_from_numbers(numbers))


def test_long_blunt_ends_with_a_deep_sidecut_are_refused_with_what_would_do() -> None:
    numbers = BoardNumbers(length_mm=700, nose_width_mm=87.5, waist_width_mm=65.625,
                           tail_width_mm=87.5, contact_length_mm=437.5, nose_shape="blunt",
                           tail_shape="blunt")
    with pytest.raises(InputProblem, match=r"board\.waist_width: found 65\.625 mm; a wider waist, "
                                           "a longer contact_length or a rounder end"):
        outline_from_numbers(numbers)
    rounder = replace(numbers, nose_shape="round", tail_shape="round")
    check_widths(rounder, outline_from_numbers(rounder))


def test_board_is_symmetric_about_the_centre_line() -> None:
    ring = outline_from_numbers(NUMBERS).ring_mm
    mirrored = ring * [1.0, -1.0]
    assert {tuple(p) for p in mirrored} == {(x, y) for x, y in ring}


def test_tail_width_and_taper_say_the_same() -> None:
    by_taper = outline_from_numbers(NUMBERS)
    by_width = outline_from_numbers(replace(NUMBERS, taper_mm=None, tail_width_mm=288.0))
    assert np.array_equal(by_taper.ring_mm, by_width.ring_mm)


def test_sidecut_is_an_arc_of_the_radius_told() -> None:
    outline = outline_from_numbers(NUMBERS)
    radius, waist_x = outline.sidecut_radius_mm, outline.waist_x_mm
    assert radius is not None
    assert waist_x is not None
    on_arc = outline.ring_mm[(np.abs(outline.ring_mm[:, 0] - waist_x) < 450.0)
                             & (outline.ring_mm[:, 1] > 0.0)]
    centre = np.array([waist_x, NUMBERS.waist_width_mm / 2 + radius])
    away = np.linalg.norm(on_arc - centre, axis=1)
    assert len(on_arc) > 50
    assert np.abs(away - radius).max() < 1e-6


def resampled_turning(ring: NDArray[np.float64]) -> NDArray[np.float64]:
    """Angle (rad) between neighbouring chords of the closed ring."""
    chord = np.diff(np.concatenate([ring, ring[:1]]), axis=0)
    heading = np.arctan2(chord[:, 1], chord[:, 0])
    return np.asarray((np.diff(heading, append=heading[0]) + math.pi) % (2 * math.pi) - math.pi)


@pytest.mark.parametrize("shape", ["pointed", "round", "blunt"])
def test_ring_has_no_corner_and_no_long_chord_error(shape: EndShape) -> None:
    ring = outline_from_numbers(replace(NUMBERS, nose_shape=shape, tail_shape=shape)).ring_mm
    chord = np.linalg.norm(np.diff(np.concatenate([ring, ring[:1]]), axis=0), axis=1)
    turning = np.abs(resampled_turning(ring))
    assert turning.max() < 0.05
    # An arc of chord c that turns by t has the sagitta c t / 8.
    assert (chord * np.maximum(turning, np.roll(turning, 1)) / 8).max() < 0.002


def test_curvature_runs_on_through_the_joins() -> None:
    outline = outline_from_numbers(NUMBERS)
    ring = outline.ring_mm
    upper = ring[(ring[:, 1] > 0) & (np.abs(ring[:, 0]) < 760)]
    chord = np.linalg.norm(np.diff(upper, axis=0), axis=1)
    heading = np.unwrap(np.arctan2(*np.diff(upper, axis=0).T[::-1]))
    bend = np.diff(heading) / ((chord[1:] + chord[:-1]) / 2)
    # Between stations a few mm apart curvature changes little, against 0.0038 in all.
    assert np.abs(np.diff(bend)).max() < 0.0003
    assert bend.min() < 0.0 < bend.max()


def test_straight_sides_have_no_radius() -> None:
    outline = outline_from_numbers(replace(NUMBERS, waist_width_mm=300.0, taper_mm=0.0))
    assert outline.sidecut_radius_mm == math.inf
    assert outline.width_at(123.0) == 300.0


@pytest.mark.parametrize(("change", "key"), [
    ({"waist_width_mm": 310.0}, "waist_width"), ({"waist_width_mm": 295.0}, "taper"),
    ({"waist_width_mm": 0.0}, "waist_width"), ({"waist_width_mm": math.nan}, "waist_width"),
    ({"contact_length_mm": 1700.0}, "contact_length"), ({"contact_length_mm": 0.0},
                                                        "contact_length"),
    ({"contact_length_mm": -5.0}, "contact_length"), ({"length_mm": 3001.0}, "length"),
    ({"length_mm": 0.0}, "length"), ({"length_mm": math.inf}, "length"),
    ({"nose_width_mm": 1700.0}, "nose_width"), ({"taper_mm": 60.0}, "taper"),
    ({"taper_mm": None}, "tail_width"), ({"tail_width_mm": 290.0}, "tail_width"),
    ({"taper_mm": None, "tail_width_mm": -1.0}, "waist_width"), ({"setback_mm": 300.0}, "setback"),
    ({"taper_mm": -1500.0}, "taper"), ({"nose_shape": "swallow"}, "nose_shape"),
    ({"waist_width_mm": 40.0, "contact_length_mm": 130.0}, "waist_width"),
])
def test_absurd_numbers_name_their_key(change: dict[str, Any], key: str) -> None:
    with pytest.raises(InputProblem) as caught:
        outline_from_numbers(replace(NUMBERS, **change), where="job.toml: board")
    assert caught.value.where == f"job.toml: board.{key}"


def test_problem_is_one_clear_sentence() -> None:
    with pytest.raises(InputProblem) as caught:
        outline_from_numbers(replace(NUMBERS, waist_width_mm=310.0), where="job.toml: board")
    assert str(caught.value) == ("job.toml: board.waist_width: found 310 mm; at most the "
                                 "nose_width, 300 mm, would do.")


@settings(max_examples=200, deadline=None)
@given(st.lists(st.one_of(st.floats(), st.floats(-10, 3500)), min_size=6, max_size=6))
def test_nonsense_is_drawn_soundly_or_refused(v: list[float]) -> None:
    numbers = BoardNumbers(length_mm=v[0], nose_width_mm=v[1], waist_width_mm=v[2],
                           contact_length_mm=v[3], tail_width_mm=v[4], setback_mm=v[5])
    try:
        outline = outline_from_numbers(numbers)
    except InputProblem:
        return
    assert outline.polygon.is_valid
    assert np.isfinite(outline.ring_mm).all()
