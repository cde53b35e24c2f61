"""What is said of other lights, and what is refused before any work."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from preflight.input_problem import InputProblem
from separations.colour.light_changes import LightChange
from separations.command_line import topsheet
from separations.commands.lights_told import tell_lights
from tests.small_art import write_small_job

GREY = (50.0, 0.0, 0.0)


def change(light: str, colour: str, moves: float, parts: float | None) -> LightChange:
    return LightChange(light=light, colour=colour, lab_d50=GREY, lab=GREY, moves_de00=moves,
                       beside="the smoothest spectrum", parts_de00=parts)


def test_a_line_for_each_light(capsys: pytest.CaptureFixture[str]) -> None:
    tell_lights([change("A", "bare wood", 1.0, 0.2), change("A", "Cyan", 2.0, None),
                 change("D65", "bare wood", 0.5, 0.1)])
    assert capsys.readouterr().out.splitlines() == [
        "A: colours move by ΔE00 1.5 on average, Cyan by 2.0; of pairs that agree under D50, bare "
        "wood and the smoothest spectrum part most, by 0.2.",
        "D65: colours move by ΔE00 0.5 on average, bare wood by 0.5; of pairs that agree under "
        "D50, bare wood and the smoothest spectrum part most, by 0.1."]
    tell_lights([])
    assert not capsys.readouterr().out


@pytest.mark.parametrize(("light", "says"), [
    ("F11", "--light: found 'F11'; D50, D65, A, or a daylight from 4000 to 25000 K"),
    ("3000 K", "found '3000 K'"), ("D39", "found 'D39'"),
    ("D65", "ink[1].reflectance: found no spectrum of 'Yellow'")])
def test_faults_write_nothing(tmp_path: Path, light: str, says: str) -> None:
    job = write_small_job(tmp_path)
    found = CliRunner().invoke(topsheet, ["proof", str(job), "--light", light]).exception
    assert isinstance(found, InputProblem)
    assert says in found.sentence
    assert not (tmp_path / "marsh-proof").exists()
