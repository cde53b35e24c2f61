"""Which cares a mend raised, and which mend is to blame."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from preflight.basis import Basis, Source
from preflight.findings import Figure, Finding, Grade
from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from preflight.mends.mend import KeyPath, Mend, Shunned, Written, owner_told
from preflight.mends.proposals import proposed_mends
from preflight.mends.raised_cares import raised_cares, to_blame
from separations.pipeline.calls import check_job

Write = Callable[..., Path]
TURN = Mend(key_path=("ink", 2, "angle"), before=45.0, after=22.5, why="")
RULE = Mend(key_path=("halftone", "ruling"), before="110 lpi", after="80 lpi", why="")
FILL = Mend(key_path=("art", 0, "fill_edges"), before=None, after=True, why="")


@pytest.fixture
def job(small_job: Write) -> Job:
    return read_job(small_job())


def told(id_: str, subjects: str, grade: Grade) -> Finding:
    """A finding on the inks named, split at plus signs."""
    figure = Figure(value=1, unit="")
    return Finding(id=id_, check=id_, subjects=tuple(subjects.split("+")), grade=grade, says="",
                   measured=figure, limit=figure, source=Source(basis=Basis.OWN))


def test_only_what_is_graver_than_before_is_raised() -> None:
    before = [told("A", "Cyan", Grade.NOTE), told("B", "Cyan", Grade.CARE),
              told("C", "Cyan", Grade.CLEAR), told("E", "Cyan", Grade.CLEAR)]
    after = [told("A", "Cyan", Grade.CARE), told("B", "Cyan", Grade.CARE),
             told("C", "Cyan", Grade.NOTE), told("D", "Cyan", Grade.STOP),
             told("E", "Cyan", Grade.CARE)]
    assert [id_ for id_, _ in raised_cares(before, after)] == ["A", "D", "E"]


def test_a_care_that_misses_its_limit_by_clearly_more_is_raised() -> None:
    def apart(deg: float) -> Finding:
        return replace(told("Angle", "Cyan+Brown", Grade.CARE),
                       measured=Figure(value=deg, unit="°"), limit=Figure(value=30.0, unit="°"))

    assert list(raised_cares([apart(15.0)], [apart(0.0)])) == [
        ("Angle", "Cyan"), ("Angle", "Brown")]
    assert raised_cares([apart(15.0)], [apart(9.0)]) == {}
    assert raised_cares([apart(0.0)], [apart(15.0)]) == {}


@pytest.mark.parametrize(("subject", "mends", "blamed"), [
    ("Cyan", (RULE, TURN, FILL), [TURN]),
    ("Magenta+Cyan", (TURN,), [TURN]),
    ("Yellow+Sea and Sky+Cyan", (TURN,), [TURN]),
    ("Yellow", (RULE, TURN), [RULE]),
    ("Yellow", (TURN,), []),
    ("photograph", (RULE, TURN, FILL), []),
    ("Cyan and Black", (TURN,), []),  # one ink's own name
])
def test_the_mend_of_that_inks_angle_or_else_ruling_is_to_blame(
    job: Job, subject: str, mends: tuple[Mend, ...], blamed: list[Mend]
) -> None:
    care = told("Moiré", subject, Grade.CARE)
    assert to_blame(job, mends, [], [care]) == [(mend, care) for mend in blamed]


def test_a_ruling_that_takes_a_stop_away_may_raise_a_care(job: Job) -> None:
    before, care = [told("Steps", "Yellow", Grade.STOP)], told("Moiré", "Cyan", Grade.CARE)
    assert to_blame(job, (RULE,), before, [care]) == []
    assert to_blame(job, (RULE,), before, [*before, care]) == [(RULE, care)]
    stop = told("Moiré", "Cyan", Grade.STOP)
    assert to_blame(job, (RULE,), before, [stop]) == [(RULE, stop)]
    assert to_blame(job, (TURN,), [told("Steps", "Cyan", Grade.STOP)], [care]) == [(TURN, care)]


def test_a_care_of_several_inks_blames_those_alone_for_which_it_is_new(job: Job) -> None:
    before = [told("Moiré", "Black", Grade.CARE)]
    after = [told("Moiré", "Cyan+Black", Grade.CARE)]
    black = Mend(key_path=("ink", 3, "angle"), before=0.0, after=7.5, why="")
    assert [mend for mend, _ in to_blame(job, (TURN, black), before, after)] == [TURN]


def test_what_is_mended_is_told_by_its_owner(job: Job) -> None:
    assert owner_told(job, TURN.key_path) == "Cyan"
    assert owner_told(job, FILL.key_path) == "photo.png"
    assert owner_told(job, RULE.key_path) == ""


@pytest.mark.parametrize(("replaced", "key", "first"), [
    (("angle = 22.5", "angle = 45"), ("ink", 2, "angle"), 22.5),
    (('"45 lpi"', '"110 lpi"'), ("halftone", "ruling"), None),
])
def test_what_is_shunned_is_not_proposed(small_job: Write, replaced: tuple[str, str],
                                         key: KeyPath, first: Written | None) -> None:
    submission = check_job(small_job(replaced, ("600 dpi", "1440 dpi"))).submission
    once = {m.key_path: m.after for m in proposed_mends(submission)}
    assert once[key] == first or first is None
    shunned = Shunned(values={key: (once[key],)})
    again = {m.key_path: m.after for m in proposed_mends(submission, shunned)}
    assert again.get(key) != once[key]
    assert again, "another angle or ruling, or another ink turned"
    left = Shunned(keys=frozenset({key}))
    assert key not in {m.key_path for m in proposed_mends(submission, left)}
