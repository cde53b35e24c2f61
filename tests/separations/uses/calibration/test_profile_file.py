"""``topsheet profile``: what it writes and tells, and what it refuses."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from preflight.input_problem import InputProblem
from separations.command_line import topsheet
from separations.uses.calibration.profile_file import write_output_profile
from tests.small_art import SMALL_JOB

Write = Callable[..., Path]


def without_inks(*names: str) -> list[tuple[str, str]]:
    tables = re.findall(r"\[\[ink\]\]\n(?:(?!\[\[).+\n)+", SMALL_JOB)
    return [(table, "") for table in tables if any(f'"{name}"' in table for name in names)]


def test_the_command_writes_one_file_and_tells_how_well_it_holds(
    small_job: Write, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("separations.colour.icc.output_profile._GRIDS", (17,))
    job = small_job(*without_inks("Magenta", "Cyan"))
    result = CliRunner().invoke(topsheet, ["profile", str(job), "--out", str(tmp_path / "out")])
    assert result.exit_code == 0, result.output
    assert [path.name for path in (tmp_path / "out").glob("[!.]*")] == ["marsh.icc"]
    assert "2CLR, channels Yellow, Black" in result.output
    assert "Predicted by a model, nothing measured." in result.output
    assert len(re.findall(r"ΔE00 [0-9]+\.[0-9]{2} on average", result.output)) == 2
    first = (tmp_path / "out" / "marsh.icc").read_bytes()
    write_output_profile(job, tmp_path / "again")
    assert (tmp_path / "again" / "marsh.icc").read_bytes() == first, "same job, same bytes"


def test_one_ink_is_refused(small_job: Write, tmp_path: Path) -> None:
    job = small_job(*without_inks("Yellow", "Magenta", "Cyan"))
    with pytest.raises(InputProblem, match="one ink") as raised:
        write_output_profile(job, tmp_path / "out")
    assert "two inks or more" in str(raised.value)
    assert not (tmp_path / "out").exists()


def test_inks_of_line_work_alone_are_refused(small_job: Write, tmp_path: Path) -> None:
    job = small_job(*without_inks("Yellow", "Magenta"),
                    ('colour = "process', 'prints = "line work"\ncolour = "process'),
                    ('[separation]\nblack_ink = "Black"\n', ""),
                    ('[[art]]\nfile = "photo.png"\nturn = 90\n', ""))
    with pytest.raises(InputProblem, match="no ink that prints photos"):
        write_output_profile(job, tmp_path / "out")


def test_a_highlight_white_is_refused(small_job: Write, tmp_path: Path) -> None:
    job = small_job()
    job.write_text(job.read_text(encoding="utf-8") + (
        '[[ink]]\nname = "White"\ncolour = "opaque white"\nprints = "highlight white"\n'
        "angle = 37.5\n"), encoding="utf-8")
    with pytest.raises(InputProblem, match="found a highlight white; a job without it"):
        write_output_profile(job, tmp_path / "out")
