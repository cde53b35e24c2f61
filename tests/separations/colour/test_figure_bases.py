"""What wood, inks, overprints, scatter, tone curves and transfer rest on, and the note on it."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from preflight.basis import Basis
from preflight.findings import Finding, Grade
from preflight.job_file.job_reader import read_job
from separations.colour.figure_bases import overprint_source, resting_figures
from separations.pipeline.calls import check_job, run_job
from tests.coarse_job import write_coarse_job

Write = Callable[..., Path]
WOOD = ("[separation]", "[wood]\nlab = [70, 5, 24]\nabsorption = \"10 %\"\n[separation]")
SPOT = ('colour = "process cyan"', 'colour = "night blue"')
OWN = ('colour = "process cyan"', "over_white = [50, -30, -40]")


def bases(path: Path) -> dict[tuple[str, tuple[str, ...]], Basis]:
    return {(one.name, one.subjects): one.source.basis for one in resting_figures(read_job(path))}


def note(path: Path) -> Finding:
    found, = (f for f in check_job(path).findings if f.id == "invented-figures")
    return found


def test_a_plain_job_rests_on_published_predicted_remembered_and_invented_figures(
        small_job: Write) -> None:
    everyone = ("Yellow", "Magenta", "Cyan", "Black")
    told = bases(small_job())
    assert all(told.pop(("colour of the ink", (name,))) is Basis.PUBLISHED for name in everyone)
    assert told == {
        ("colour of the wood", ()): Basis.INVENTED,
        ("solids on each other", ()): Basis.PREDICTED,
        ("light scattered between dots (Yule-Nielsen n)", ()): Basis.OWN,
        ("tone curve", everyone): Basis.PUBLISHED,
        ("share of the mesh's ink that prints", everyone): Basis.MEMORY,
        ("stencil's height over the mesh, which makes small dots thicker", ()): Basis.PUBLISHED,
        ("extra ink that soaks into the wood", ()): Basis.INVENTED}


def test_what_the_job_gives_is_told_as_given(small_job: Write) -> None:
    told = bases(small_job(WOOD, OWN, ('thread = "34 um"',
                                       'thread = "34 um"\nemulsion_over_mesh = "8 um"')))
    assert told["stencil's height over the mesh, which makes small dots thicker", ()] is Basis.GIVEN
    assert told["colour of the wood", ()] is Basis.GIVEN
    assert told["extra ink that soaks into the wood", ()] is Basis.GIVEN
    assert told["colour of the ink", ("Cyan",)] is Basis.GIVEN


def test_our_own_wood_written_out_is_the_jobs(small_job: Write) -> None:
    assert bases(small_job(("[separation]", "[wood]\nlab = [74, 6, 26]\n[separation]")))[
        "colour of the wood", ()] is Basis.GIVEN


def test_overprints_are_predicted_and_bare_wood_is_what_it_is(small_job: Write) -> None:
    job = read_job(small_job(SPOT))
    assert overprint_source(job, ()).basis is Basis.INVENTED
    both = overprint_source(job, ("Magenta", "Cyan"))
    assert both.basis is Basis.PREDICTED
    assert "Cyan invented" in str(both)
    assert "invented" not in str(overprint_source(job, ("Magenta",)))


def test_no_invented_figure_serves_without_a_note(small_job: Write) -> None:
    clear = note(small_job(WOOD))
    assert (clear.grade, clear.subjects) == (Grade.CLEAR, ())
    spot = note(small_job(WOOD, SPOT))
    assert (spot.grade, spot.subjects) == (Grade.NOTE, ("Cyan",))
    assert "the colour of Cyan" in spot.says
    assert "over_white of Cyan" in spot.mend
    assert "[wood]" not in spot.mend
    wood = note(small_job())
    assert "the colour of the wood" in wood.says
    assert "lab in [wood]" in wood.mend


def test_the_report_says_nothing_was_measured_where_nothing_was(tmp_path: Path) -> None:
    run_job(write_coarse_job(tmp_path / "job"), tmp_path / "out")
    told = json.loads((tmp_path / "out" / "report.json").read_text(encoding="utf-8"))
    assert {one["basis"] for one in told["figures"]} >= {Basis.INVENTED.value}
    assert all(one["basis"] != Basis.MEASURED.value for one in told["figures"])
    for one in told["colour"]["overprints"]:
        assert one["basis"] == (Basis.PREDICTED if one["inks"] else Basis.INVENTED).value
    page = (tmp_path / "out" / "report.html").read_text(encoding="utf-8")
    assert "measured on this press" not in page.replace("not measured on this press", "")
    assert "FOGRA39L characterisation data" in page


@pytest.mark.parametrize("curve", ['"straight"', "[[50, 60]]"])
def test_a_tone_curve_says_what_it_is(small_job: Write, curve: str) -> None:
    told = bases(small_job(('ruling = "45 lpi"', f'ruling = "45 lpi"\ntone_curve = {curve}')))
    basis = next(b for (name, _), b in told.items() if name == "tone curve")
    assert basis is (Basis.OWN if curve.startswith('"') else Basis.GIVEN)
