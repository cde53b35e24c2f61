"""Notes lie where the job says, as large as it says, with a line to their point."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from shapely import Point

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from preflight.job_file.job_tables import NoteTable
from preflight.units import Angle, Length
from preflight.vector_art.lettering import open_face, set_words
from preflight.vector_art.notes import note_area


def mm(value: float) -> Length:
    return Length(value, f"{value:g} mm")


def note(**keys: Any) -> NoteTable:
    return NoteTable(**{"text": "H", "at": (mm(100), mm(20)), "ink": "Black"} | keys)


def bounds(one: NoteTable) -> tuple[float, float, float, float]:
    found: tuple[float, float, float, float] = note_area(one, open_face(), where="note[1]").bounds
    return found


def test_a_capital_stands_upright_in_the_middle_of_its_place() -> None:
    least_x, least_y, greatest_x, greatest_y = bounds(
        note(cap_height=mm(5), turn=Angle(0, "0"), dot=mm(0)))
    assert (least_x, greatest_x) == pytest.approx((97.5, 102.5), abs=0.01)
    assert (least_y + greatest_y) / 2 == pytest.approx(20, abs=0.05)


def test_at_a_quarter_turn_words_read_towards_the_nose() -> None:
    words = set_words("HL", open_face(), 5 / open_face().cap_height_em, where="")
    least_x, least_y, greatest_x, greatest_y = bounds(
        note(text="HL", cap_height=mm(5), dot=mm(0)))
    assert (least_y, greatest_y) == pytest.approx((17.5, 22.5), abs=0.01)
    wide = words.area.bounds[2] - words.area.bounds[0]
    assert greatest_x - least_x == pytest.approx(wide, abs=0.01)
    # The L, which is narrow at its top, stands at the nose end; its foot is on the right (−y).
    area = note_area(note(text="HL", cap_height=mm(5), dot=mm(0)), open_face(), where="")
    assert area.contains(Point(greatest_x - 0.3, 17.7))
    assert not area.contains(Point(greatest_x - 0.3, 22.3))


def test_a_type_size_is_that_of_the_em() -> None:
    least_x, _, greatest_x, _ = bounds(note(type_size=mm(10), turn=Angle(0, "0"), dot=mm(0)))
    assert greatest_x - least_x == pytest.approx(10 * open_face().cap_height_em, abs=0.01)


def test_a_leader_runs_from_the_point_and_stops_short_of_the_letters() -> None:
    one = note(label_offset=(mm(0), mm(30)), cap_height=mm(4), leader=mm(0.4), dot=mm(1.2))
    area = note_area(one, open_face(), where="")
    assert area.contains(Point(100, 20.5))
    assert area.contains(Point(100, 35))
    across = area.intersection(Point(100, 35).buffer(2)).area / 4  # 4 mm of the line
    assert across == pytest.approx(0.4, abs=0.005)
    letters = note_area(note(label_at=(mm(100), mm(50)), cap_height=mm(4), leader=mm(0),
                             dot=mm(0)), open_face(), where="")
    rest = area.difference(letters.buffer(1e-6))
    assert 0.45 * 4 - 0.21 <= rest.distance(letters) <= 0.45 * 4 + 0.2


FIRST = '[separation]\nblack_ink = "Black"'
NOTE = '[[note]]\ntext = "Cove"\nat = ["10 mm", "0 mm"]\nink = "Black"\n'


@pytest.mark.parametrize(("more", "found"), [
    ('ink = "Blak"', "note\\[1\\].ink: found 'Blak'"),
    ('at = ["10 mm"]', "two lengths along and across"),
    ('at = ["10 mm", "9 m"]', "two lengths along and across"),
    ('at = [10, 2]', "two lengths along and across"),
    ('text = ""', "a text of 1 to 120"),
    ('cap_height = "3 mm"\ntype_size = "9 pt"', "both 'cap_height' and 'type_size'"),
    ('cap_height = "0 mm"', "a height such as"), ('leader = "5 cm"', "a width such as"),
    ('label_at = ["1 mm", "2 mm"]\nlabel_offset = ["1 mm", "2 mm"]', "both 'label_at'"),
    ('size = "3 mm"', "unknown key 'size'"),
])
def test_faults_are_named(small_job: Callable[..., Path], more: str, found: str) -> None:
    key = more.split(" =")[0]
    kept = "".join(line + "\n" for line in NOTE.splitlines() if not line.startswith(f"{key} ="))
    path = small_job((FIRST, f"{kept}{more}\n{FIRST}"))
    with pytest.raises(InputProblem, match=found):
        read_job(path)
