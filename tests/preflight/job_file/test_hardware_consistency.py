"""Profile, inserts, keep-outs and important regions: what a job may say of them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job

Write = Callable[..., Path]
FIGURES = ('\n[profile]\ncamber = "2 mm"\nnose_rise = "8 mm"\nnose_length = "4 cm"\n'
           'tail_rise = "6 mm"\ntail_length = "3 cm"\n')


def written(small_job: Write, tables: str, *changes: tuple[str, str]) -> Path:
    path = small_job(*changes)
    path.write_text(path.read_text(encoding="utf-8") + tables, encoding="utf-8")
    return path


def test_all_tables_are_read(small_job: Write) -> None:
    job = read_job(written(small_job, FIGURES + '''
[inserts]
pattern = "4x2"
stance = "12 cm"
[[keep_out]]
name = "plate"
at = ["-3 cm", "0 mm"]
diameter = "15 mm"
[[keep_out]]
name = "badge"
ring = [["0 mm", "0 mm"], ["1 cm", "0 mm"], ["1 cm", "1 in"]]
ink = "over"
[[important]]
name = "face"
at = ["3 cm", "0 mm"]
diameter = "2 cm"
''', ('name = "Small plank"', 'name = "Small plank"\noutline_view = "plan"')))
    assert job.inserts is not None
    assert job.inserts.hole.mm == 6.6
    assert job.inserts.ink == "over"
    assert job.keep_out[0].ink == "off"
    assert job.keep_out[1].ring is not None
    assert job.keep_out[1].ring[2][1].mm == pytest.approx(25.4)
    assert job.important[0].at is not None
    assert job.frame.press_down.mm == 6


def test_a_job_without_them_is_as_before(small_job: Write) -> None:
    job = read_job(small_job())
    assert (job.profile, job.inserts, job.keep_out, job.important) == (None, None, (), ())
    assert job.board.outline_view == "flat"


PLACE = '\n[[keep_out]]\nname = "plate"\n'


@pytest.mark.parametrize(("tables", "says"), [
    (FIGURES.replace("camber", "cambr"), "profile.cambr: found the unknown key 'cambr'; 'camber'"),
    (FIGURES.replace('camber = "2 mm"\n', ""), "profile.camber: found nothing"),
    (FIGURES + 'points = "side.csv"\n', "profile.camber: found a figure beside 'points'"),
    (FIGURES.replace('"2 mm"', '"2 m"'), "profile.camber: found '2 m'; a height such as"),
    ('\n[inserts]\npattern = "3x3"\nstance = "50 cm"\n', "inserts.pattern: found '3x3'; '4x2' or"),
    ('\n[inserts]\npattern = "4x2"\n', "inserts.stance: found nothing"),
    ('\n[inserts]\npattern = "4x2"\nstance = "1 cm"\n', "a stance such as '54 cm'"),
    ('\n[inserts]\npattern = "4x2"\nstance = "50 cm"\nholes_in_row = 1\n', "from 2 to 12"),
    ('\n[inserts]\npattern = "4x2"\nstance = "50 cm"\nhole = "0 mm"\n', "between 1 and 30 mm"),
    ('\n[inserts]\npattern = "4x2"\nstance = "50 cm"\nbinding_disc = "1 mm"\n', "wider than one"),
    ('\n[inserts]\npattern = "4x2"\nstance = "50 cm"\nclearance = "9 cm"\n', "at most 20 mm"),
    (PLACE, "keep_out[1]: found no place; either 'ring', or 'at' with 'diameter',"),
    (PLACE + 'at = ["0 mm", "0 mm"]\n', "keep_out[1]: found half a circle"),
    (PLACE + 'at = ["0 mm", "0 mm"]\ndiameter = "2 cm"\n'
     'ring = [["0 mm", "0 mm"], ["1 cm", "0 mm"], ["0 mm", "1 cm"]]\n', "'ring' beside a circle"),
    (PLACE + 'ring = [["0 mm", "0 mm"], ["1 cm", "0 mm"], ["0 mm", "1 cm"], ["1 cm", "1 cm"]]\n',
     "keep_out[1].ring: found a ring that crosses or touches itself"),
    (PLACE + 'ring = [["0 mm", "0 mm"], ["1 cm", "0 mm"], ["2 cm", "0 mm"]]\n', "holds no area"),
    (PLACE + 'ring = [["0 mm", "0 mm"], ["1 cm", "0 mm"]]\n', "a list of 3 to 2000 points"),
    (PLACE + 'at = ["0 mm", 5]\ndiameter = "2 cm"\n', "keep_out[1].at: found"),
    (PLACE + 'at = ["0 mm", "9 m"]\ndiameter = "2 cm"\n', "each within 3 m"),
    ('\n[[important]]\nname = "face"\n', "important[1]: found no place"),
    ("".join(f'\n[[important]]\nname = "{n}"\nat = ["0 mm", "0 mm"]\ndiameter = "1 cm"\n'
             for n in range(101)), "important: found 101 places; at most 100"),
])
def test_faults_are_sentences(small_job: Write, tables: str, says: str) -> None:
    with pytest.raises(InputProblem) as fault:
        read_job(written(small_job, tables))
    assert says in str(fault.value)
    assert str(fault.value).endswith("would do.")


def test_a_plan_on_a_sheet_needs_a_profile(small_job: Write) -> None:
    plan = ('name = "Small plank"', 'name = "Small plank"\noutline_view = "plan"')
    with pytest.raises(InputProblem, match="outline_view: found \"plan\" on a sheet"):
        read_job(small_job(plan))
    read_job(small_job(plan, ('stage = "sheet"', 'stage = "board"')))


def test_the_squeegee_bridges_at_least_the_gap(small_job: Write) -> None:
    with pytest.raises(InputProblem, match="press_down: found 2 mm; a length no less than"):
        read_job(small_job(("inside_width", 'press_down = "2 mm"\ninside_width')))
