"""Every fault of a job file is one sentence: file, key path, what was found, what would do."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest

from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from preflight.press.dot_shapes import DOT_SHAPES

JOB = """
title = "Marsh"
date = 2026-11-25
boards = 3
[board]
name = "Small"
length = "60 cm"
contact_length = "40 cm"
nose_width = "20 cm"
waist_width = "17 cm"
taper = "4 mm"
[[art]]
file = "art.png"
turn = 90
[separation]
black_ink = "Black"
[halftone]
ruling = "45 lpi"
[mesh]
count = "305/in"
thread = "34 um"
[frame]
inside_length = "100 cm"
inside_width = "6 in"
[[ink]]
name = "Black"
colour = "process black"
angle = 22.5
[[ink]]
name = "Rust"
over_white = [40, 40, 30]
opacity = "20 %"
angle = "52.5 deg"
"""


def read(tmp_path: Path, text: str) -> str:
    path = tmp_path / "job.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputProblem) as caught:
        read_job(path)
    return caught.value.sentence.removeprefix(f"{path}")


def test_a_good_job(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(JOB.replace('"20 %"', "0.2"), encoding="utf-8")
    job = read_job(path)
    assert job.frame.inside_width.mm == pytest.approx(152.4)
    assert job.frame.inside_width.written == "6 in"
    assert [ink.name for ink in job.ink] == ["Black", "Rust"]
    assert job.mesh_of(job.ink[0]).threads_per_cm == pytest.approx(120.08, abs=0.01)
    assert job.beside("art.png") == tmp_path / "art.png"
    with pytest.raises(dataclasses.FrozenInstanceError):
        job.boards = 4  # type: ignore[misc]


@pytest.mark.parametrize(("old", "new", "sentence"), [
    ("rulin", "rullin", ": halftone.rulling: found the unknown key 'rulling'; 'ruling' would do."),
    ("boards = 3", "bords = 3", ": bords: found the unknown key 'bords'; 'boards' would do."),
    ("boards = 3", "path = 3",
     ": path: found the unknown key 'path'; one of 'title', 'date', 'board', 'art', 'halftone', "
     "'mesh', 'ink', 'frame', 'stage', 'side', 'boards', 'press_profile', 'stock', 'area', 'wood', "
      "'finish', 'separation', 'film', 'press', 'register', 'day', 'profile', 'inserts', "
      "'keep_out', 'important', 'line', 'note', 'landmark', 'ground', 'track', 'plan' would do."),
    ('"45 lpi"', '"45 lppi"', ": halftone.ruling: found '45 lppi'; a ruling such as '45 lpi' or "
     "'18 l/cm', between 2 and 80 lines/cm, would do."),
    ('"45 lpi"', '"4500 lpi"', ": halftone.ruling: found '4500 lpi'; a ruling such as '45 lpi' or "
     "'18 l/cm', between 2 and 80 lines/cm, would do."),
    ('"60 cm"', "60", ": board.length: found 60; a length such as '158 cm', between 20 cm and "
     "3 m, would do."),
    ('"60 cm"', '"0 cm"', ": board.length: found '0 cm'; a length such as '158 cm', between "
     "20 cm and 3 m, would do."),
    ("boards = 3", "boards = 0", ": boards: found 0; a whole number of boards from 1 to 100,000 "
     "would do."),
    ("boards = 3", 'stage = "flat"', ": stage: found 'flat'; 'sheet' or 'board' would do."),
    ("date = 2026-11-25", 'date = "soon"', ": date: found 'soon'; a date such as 2026-11-25 "
     "would do."),
    ('"Rust"', '"black"', ": ink[2].name: found 'black' named twice; another name for each ink "
     "would do."),
    ('taper = "4 mm"', "", ": board: found neither 'tail_width' nor 'taper'; one of the two would "
     "do."),
    ('"34 um"', '"90 um"', ": mesh: found 120.079 threads/cm of 90 µm, which leaves an opening of "
     "-6.72 µm; threads thinner than the pitch of 83.28 µm would do."),
    ("angle = 22.5", 'angle = 22.5\ndot_shape = "star"', ": ink[1].dot_shape: found 'star'; "
     f"{', '.join(map(repr, DOT_SHAPES))} or 'stochastic' would do."),
    ("turn = 90", "turn = nan", ": art[1].turn: found nan; an angle in degrees such as 22.5, "
     "-360 to 360, would do."),
    ("turn = 90", 'kind = "line"', ": art[1].ink: found nothing; the name of one of the job's "
     "inks would do."),
    ("turn = 90", 'place = "scale"', ": art[1]: found place = \"scale\" with neither 'width' nor "
     "'resolution'; either 'width' or 'resolution' would do."),
    ("turn = 90", 'width = "20 cm"', ": art[1]: found place = \"fill\" with a size ('width' or "
     "'resolution'); place = \"scale\", or no size, would do."),
    ('"Black"\n[half', '"Blak"\n[half', ": separation.black_ink: found 'Blak'; the name of one "
     "of the photograph's inks would do."),
    ("[frame]", "[fram]", ": fram: found the unknown key 'fram'; 'frame' would do."),
])
def test_faults(tmp_path: Path, old: str, new: str, sentence: str) -> None:
    good = JOB.replace('"20 %"', "0.2")
    assert old in good
    assert read(tmp_path, good.replace(old, new)) == sentence


def test_a_number_is_asked_for_an_opacity(tmp_path: Path) -> None:
    assert read(tmp_path, JOB) == (
        ": ink[2].opacity: found '20 %'; a number between 0 and 1 would do.")


def test_what_is_no_toml(tmp_path: Path) -> None:
    assert "a line that is not TOML" in read(tmp_path, "title = ")
    assert "tables nested too deeply" in read(tmp_path, "a = " + "[" * 20_000)
    (tmp_path / "big.toml").write_bytes(b"#" * 1_000_001)
    for name, found in (("none.toml", "no such file"), ("", "a folder"), ("big.toml", "1 MB")):
        with pytest.raises(InputProblem, match=found):
            read_job(tmp_path / name)


def test_a_misspelt_file_gets_the_nearest_name(tmp_path: Path) -> None:
    (tmp_path / "estuary.toml").write_text("", encoding="utf-8")
    with pytest.raises(InputProblem, match=r"no such file \(nearest in name: 'estuary.toml'\)"):
        read_job(tmp_path / "estaury.toml")
    with pytest.raises(InputProblem, match="found no such file;"):
        read_job(tmp_path / "moor.toml")
