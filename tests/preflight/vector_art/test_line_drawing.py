"""Lines run through their points, as wide, dashed and pointed as asked, with a name along them."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from shapely import LineString, Point, box

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from preflight.vector_art.flattening import Points
from preflight.vector_art.lettering import open_face
from preflight.vector_art.line_drawing import (
    DrawnLine,
    LineName,
    LineStyle,
    drawn_line,
    line_course,
)

STRAIGHT = np.array([[0.0, 0.0], [100.0, 0.0]])
RING = np.array([[50 * math.cos(t), 50 * math.sin(t)] for t in np.linspace(0, math.pi, 13)])


def drawn(points: Points = STRAIGHT, name: str | None = None, *, stands: str = "above",
          at: float = 0.5, **style: Any) -> DrawnLine:
    words = None if name is None else LineName(
        words=name, face=open_face(), type_mm=4 / open_face().cap_height_em, stands=stands, at=at)
    return drawn_line(points, LineStyle(**{"width_mm": 1.0} | style), words, where="line[1]")


def test_a_line_is_as_wide_as_asked_with_round_ends() -> None:
    area = drawn().area
    assert area.bounds == pytest.approx((-0.5, -0.5, 100.5, 0.5), abs=0.01)
    assert area.area == pytest.approx(100 + math.pi / 4, abs=0.02)


def test_a_smooth_line_runs_through_its_points_and_bends_where_a_straight_one_breaks() -> None:
    points = np.array([[0, 0], [30, 10], [35, 40], [90, 45], [91, 44]], float)
    smooth = LineString(line_course(points, smooth=True))
    assert max(smooth.distance(Point(*point)) for point in points) < 0.01
    turns = np.diff(np.unwrap(np.arctan2(*np.diff(np.array(smooth.coords), axis=0).T[::-1])))
    assert np.abs(turns).max() < 0.35
    assert line_course(points, smooth=False).tolist() == points.tolist()


def test_a_smooth_line_through_points_of_a_circle_stays_near_it() -> None:
    course = line_course(RING, smooth=True)
    # The ends know no neighbour beyond them; between the inner points the circle is met.
    inner = course[np.abs(course[:, 0]) < 40]
    assert np.abs(np.hypot(*inner.T) - 50).max() < 0.12


def test_dashes_leave_gaps_of_the_length_asked() -> None:
    area = drawn(dashes_mm=(6.0, 4.0)).area
    assert area.area == pytest.approx(60.0, abs=0.01)
    assert not area.intersects(Point(8, 0))
    assert area.contains(Point(13, 0))


def test_an_arrow_ends_at_the_last_point_and_nothing_reaches_beyond_it() -> None:
    area = drawn(arrow_mm=8.0).area
    assert area.bounds[2] == pytest.approx(100.0)
    assert area.intersection(box(92, -10, 93, 10)).bounds[3] == pytest.approx(0.36 * 8, abs=0.01)
    assert area.intersection(box(99.5, -10, 110, 10)).area == pytest.approx(
        0.5 * 0.5 * (2 * 0.36 * 0.5), abs=0.01)
    assert area.geom_type == "Polygon"


@pytest.mark.parametrize(("stands", "lowest", "highest"), [
    ("above", 0.5 + 0.45 * 4, 0.5 + 1.45 * 4), ("on", -2.0, 2.0),
    ("below", -0.5 - 1.45 * 4, -0.5 - 0.45 * 4)])
def test_a_name_stands_above_on_or_below(stands: str, lowest: float, highest: float) -> None:
    line = drawn(name="HIH", stands=stands)
    least = [letter.area.bounds for letter in line.letters]
    assert len(least) == 3
    assert min(b[1] for b in least) == pytest.approx(lowest, abs=0.02)
    assert max(b[3] for b in least) == pytest.approx(highest, abs=0.02)
    assert (min(b[0] for b in least) + max(b[2] for b in least)) / 2 == pytest.approx(50, abs=0.3)
    # Where the name stands on the line the line is left out, and nowhere else.
    assert line.area.contains(Point(20, 0))
    assert line.area.intersects(Point(51.2, 0.0)) == (stands != "on")


@pytest.mark.parametrize(("points", "way"), [
    (STRAIGHT, (0.0, 1.0)), (STRAIGHT[::-1], (0.0, 1.0)),
    (np.array([[0.0, 50.0], [0.0, -50.0]]), (1.0, 0.0)),
    (np.array([[0.0, -50.0], [0.0, 50.0]]), (1.0, 0.0))])
def test_a_name_is_never_upside_down(points: Points, way: tuple[float, float]) -> None:
    letters = drawn(points, name="HL").letters
    assert all(letter.up == pytest.approx(way, abs=1e-6) for letter in letters)


def test_letters_turn_with_the_line_and_keep_their_distance_from_it() -> None:
    line = drawn(RING[::-1], name="Heron Reach walk", smooth=True)
    for letter in line.letters:
        middle = np.array(letter.area.centroid.coords[0])
        outwards = middle / np.hypot(*middle)
        assert float(outwards @ np.array(letter.up)) > 0.99
    feet = [LineString(line_course(RING, smooth=True)).distance(letter.area)
            for letter in line.letters if letter.text in "Hnkaehwlo"]
    assert min(feet) > 0.5 + 0.3 * 4
    assert max(feet) < 0.5 + 0.6 * 4
    for one, next_one in zip(line.letters, line.letters[1:], strict=False):
        assert one.area.distance(next_one.area) > 0.2


def test_a_name_longer_than_its_line_goes_on_straight() -> None:
    line = drawn(np.array([[0.0, 0.0], [10.0, 0.0]]), name="Longer than it")
    assert max(letter.area.bounds[2] for letter in line.letters) > 20
    assert all(letter.up == pytest.approx((0, 1), abs=1e-6) for letter in line.letters)


LINE = """
[[line]]
points = [["-6 cm", "1 cm"], ["0 mm", "-12 mm"], ["70 mm", "15 mm"]]
ink = "Black"
"""


@pytest.mark.parametrize(("key", "found"), [
    ('points = [["0 mm", "0 mm"], ["0 cm", "0 mm"]]', "points that are all one place"),
    ('width = "0 mm"', "'0 mm'"), ('ink = "Purple"', "'Purple'"),
    ('dashes = ["3 mm"]', "['3 mm']"), ('dashes = ["0 mm", "3 mm"]', "['0 mm', '3 mm']"),
    ('points = [["0 mm", "0 mm"]]', "[['0 mm', '0 mm']]"), ('name_stands = "over"', "'over'"),
    ('cap_height = "3 mm"\ntype_size = "9 pt"', "both 'cap_height' and 'type_size'"),
    ('colour = "red"', "the unknown key 'colour'")])
def test_what_is_no_line_is_refused(small_job: Callable[..., Path], key: str, found: str) -> None:
    name = key.split(" =", 1)[0]
    kept = "\n".join(row for row in LINE.split("\n") if not row.startswith(f"{name} ="))
    with pytest.raises(InputProblem) as fault:
        read_job(small_job(("[separation]", f"{kept}{key}\n[separation]")))
    assert fault.value.found == found
    assert "line[1]" in fault.value.where


def test_more_lines_than_anyone_draws_are_refused(small_job: Callable[..., Path]) -> None:
    with pytest.raises(InputProblem, match="501 lines"):
        read_job(small_job(("[separation]", f"{LINE * 501}\n[separation]")))
