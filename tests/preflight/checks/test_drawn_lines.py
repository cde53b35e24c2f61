"""Checks of drawings and notes on made-up figures: in order, just failing, absurd."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from preflight.basis import Basis
from preflight.checks.catalogue import run_checks
from preflight.facts.submission import DrawingFacts, LineFacts, Submission, place_of
from preflight.findings import Finding, Grade
from tests.prepared_jobs import laid_out

Write = Callable[..., Path]
HERE = place_of((10.0, 5.0, 20.0, 8.0))
NOTE = DrawingFacts(
    subject="Upper cove", kind="note", ink="Black", finest_um=102.0, thin_mm2=0.0, tight_mm2=0.0,
    place_thin=None, place_tight=None, mm2_beyond_safe=0.0, place_beyond_safe=None, type_pt=9.0,
    stands_out=40.0, ink_lightness=20.0, ground_lightness=60.0, place_faint=HERE)


@pytest.fixture
def made(small_job: Write) -> Submission:
    laid = laid_out(small_job())
    return Submission(job=laid.job, outline=laid.outline, area=laid.area, art=laid.art,
                      film_length_mm=360, film_width_mm=140, tones=None)


def found(submission: Submission, check: str) -> list[Finding]:
    return [f for f in run_checks(submission) if f.id == check]


@pytest.mark.parametrize(("stands_out", "grade"), [
    (20.0, Grade.CLEAR), (19.9, Grade.CARE), (0.0, Grade.CARE)])
def test_notes_stand_out(made: Submission, stands_out: float, grade: Grade) -> None:
    note = replace(NOTE, stands_out=stands_out)
    one, = found(replace(made, drawings=(note,)), "drawings-stand-out")
    assert one.grade is grade
    assert bool(one.mend) == (grade is Grade.CARE)
    assert one.place == (HERE if grade is Grade.CARE else None)
    assert one.source.basis is Basis.OWN
    line = LineFacts(file="lines.png", mm2_beyond_safe=0.0, place_beyond_safe=None, ink="Black",
                     stands_out=stands_out, place_faint=HERE)
    other, = found(replace(made, lines=(line,)), "drawings-stand-out")
    assert (other.grade, other.subjects) == (grade, ("lines.png", "Black"))


def test_what_was_not_measured_is_not_judged(made: Submission) -> None:
    flat = replace(NOTE, kind="flat", stands_out=None)
    assert not found(replace(made, drawings=(flat,)), "drawings-stand-out")


def test_a_note_wholly_off_the_board_stops_and_one_partly_off_does_not(made: Submission) -> None:
    for beyond, off, told in ((0.0, False, []), (3.0, False, []), (9.0, True, [Grade.STOP])):
        note = replace(NOTE, mm2_beyond_safe=beyond, place_beyond_safe=HERE, wholly_off=off)
        changed = replace(made, drawings=(note,))
        assert [f.grade for f in found(changed, "on-the-board")] == told
        margin = [f.grade for f in found(changed, "safety-margin")]
        assert margin == ([] if off else [Grade.CARE if beyond else Grade.CLEAR])


def test_line_work_wholly_off_the_board_stops(made: Submission) -> None:
    for off, told in ((False, []), (True, [Grade.STOP])):
        line = LineFacts(file="lines.png", mm2_beyond_safe=0.0, place_beyond_safe=None,
                         wholly_off=off)
        stops = found(replace(made, lines=(line,)), "on-the-board")
        assert [f.grade for f in stops] == told
        assert all(f.says.startswith("None of it prints") and f.mend for f in stops)


def test_blank_line_work_is_told_as_blank(made: Submission) -> None:
    line = LineFacts(file="lines.png", mm2_beyond_safe=0.0, place_beyond_safe=None,
                     wholly_off=True, is_blank=True)
    stop, = found(replace(made, lines=(line,)), "on-the-board")
    assert stop.grade is Grade.STOP
    assert "blank" in stop.says
    assert "off the board" not in stop.says
