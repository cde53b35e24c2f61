"""Each check: a case in order, one that just fails, one absurd."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from preflight.checks.catalogue import run_checks
from preflight.facts.submission import LineFacts, Submission
from preflight.facts.tone_facts import InkFacts, ToneFacts
from preflight.findings import Finding, Grade, has_stop
from tests.prepared_jobs import laid_out

Write = Callable[..., Path]


def submission(path: Path, **changes: object) -> Submission:
    laid = laid_out(path)
    inks = tuple(
        InkFacts(name=ink.name, lightness=lightness, mean_tone=0.3, share_too_small=0.0,
                 share_too_large=0.0, place_too_small=None, place_too_large=None)
        for ink, lightness in zip(laid.job.photo_inks, (80.0, 40.0, 45.0, 15.0), strict=False))
    made = Submission(
        job=laid.job, outline=laid.outline, area=laid.area, art=laid.art, film_length_mm=360,
        film_width_mm=140, tones=ToneFacts(inks=inks, greatest_sum=2.5, place_of_sum=None))
    return replace(made, **changes)  # type: ignore[arg-type]


def found(submission: Submission, check: str, subject: str | None = None) -> Finding:
    return next(f for f in run_checks(submission)
                if f.check == check and subject in (None, f.subject))


def test_a_good_job_has_no_stop_and_every_finding_is_whole(small_job: Write) -> None:
    findings = run_checks(submission(small_job()))
    assert not has_stop(findings)
    for finding in findings:
        assert finding.says.endswith(".")
        assert finding.source
        assert bool(finding.mend) == (finding.grade is not Grade.CLEAR), finding
    # Some have nothing to say of a plain job without hardware or simulated prints.
    assert len({f.check for f in findings}) >= 20


@pytest.mark.parametrize(("check", "subject", "change", "grade"), [
    ("Mesh for the ruling", "Cyan", ('"120/cm"', '"62.1/cm"'), Grade.CLEAR),
    ("Mesh for the ruling", "Cyan", ('"120/cm"', '"61.9/cm"'), Grade.CARE),
    ("Mesh for the ruling", "Cyan", ('"120/cm"', '"20/cm"'), Grade.STOP),
    ("Tone steps on the film", "Cyan", ('"600 dpi"', '"552 dpi"'), Grade.CLEAR),
    ("Tone steps on the film", "Cyan", ('"600 dpi"', '"551 dpi"'), Grade.CARE),
    ("Tone steps on the film", "Cyan", ('"600 dpi"', '"100 dpi"'), Grade.STOP),
    ("Smallest dot", "Cyan", ('ruling = "45 lpi"', 'ruling = "45 lpi"\nsmallest_tone = "1.8 %"'),
     Grade.CLEAR),
    ("Smallest dot", "Cyan", ('ruling = "45 lpi"', 'ruling = "45 lpi"\nsmallest_tone = "1.6 %"'),
     Grade.CARE),
    ("Smallest hole", "Cyan", ('ruling = "45 lpi"', 'ruling = "45 lpi"\nlargest_tone = "98.2 %"'),
     Grade.CLEAR),
    ("Smallest hole", "Cyan", ('ruling = "45 lpi"', 'ruling = "45 lpi"\nlargest_tone = "100 %"'),
     Grade.CARE),
    ("Angle to the mesh", "Cyan", ("angle = 22.5", "angle = 7.1"), Grade.CLEAR),
    ("Angle to the mesh", "Cyan", ("angle = 22.5", "angle = 6.9"), Grade.CARE),
    ("Angle to the mesh", "Cyan", ("angle = 22.5", "angle = 135"), Grade.CARE),
    ("Angle between inks", "Cyan and Black", ("angle = 52.5", "angle = 52.1"), Grade.CLEAR),
    ("Angle between inks", "Cyan and Black", ("angle = 52.5", "angle = 51.9"), Grade.CARE),
    ("Angle between inks", "Yellow and Cyan", ("angle = 22.5", "angle = 21.9"), Grade.CARE),
    ("Angle between inks", "Cyan and Black", ("angle = 52.5", "angle = 22.5"), Grade.CARE),
    ("Heat of the press", "all inks", ("140 °C", "95 °C"), Grade.CLEAR),
    ("Heat of the press", "Cyan", ("140 °C", "94 °C"), Grade.CARE),
    ("Heat of the press", "Cyan", ("140 °C", "30 °C"), Grade.STOP),
    ("Heat of the press", "Cyan", ('heat_limit = "140 °C"', ""), Grade.CARE),
    ("Free mesh at the ends", None, ('"60 cm"', '"51 cm"'), Grade.CLEAR),
    ("Free mesh at the ends", None, ('"60 cm"', '"50.9 cm"'), Grade.CARE),
    ("Free mesh at the ends", None, ('"60 cm"', '"10 cm"'), Grade.STOP),
    ("Film length", None, ('"600 dpi"', '"600 dpi"\nlength = "36 cm"'), Grade.CLEAR),
    ("Film length", None, ('"600 dpi"', '"600 dpi"\nlength = "35.9 cm"'), Grade.STOP),
    ("Film width", None, ('"600 dpi"', '"600 dpi"\nwidth = "5 cm"'), Grade.STOP),
    ("Pixels for the ruling", None, ('ruling = "45 lpi"', 'ruling = "49 lpi"'), Grade.CLEAR),
    ("Pixels for the ruling", None, ('ruling = "45 lpi"', 'ruling = "55 lpi"'), Grade.NOTE),
    ("Pixels for the ruling", None, ('ruling = "45 lpi"', 'ruling = "85 lpi"'), Grade.CARE),
    ("Pixels for the ruling", None, ('ruling = "45 lpi"', 'ruling = "200 lpi"'), Grade.STOP),
    ("Art covers the bleed", None, ("turn = 90\n[[art]]", 'turn = 90\noffset_along = "5 mm"\n'
     "[[art]]"), Grade.CARE),
    ("Art covers the board", None, ("turn = 90\n[[art]]", 'turn = 90\noffset_along = "30 mm"\n'
     "[[art]]"), Grade.STOP),
    ("Art covers the board", None, ("turn = 90\n[[art]]", "turn = 90\n[[art]]"), Grade.CLEAR),
    ("Tone curve", None, ("angle = 22.5", "angle = 22.5"), Grade.NOTE),
    ("Pixels for line work", None, ("turn = 90", "turn = 90"), Grade.CARE),
    ("Colour profile", None, ("turn = 90", "turn = 90"), Grade.NOTE),
])
def test_limits(
    small_job: Write, check: str, subject: str | None, change: tuple[str, str], grade: Grade
) -> None:
    path = small_job(change) if change[0] != change[1] else small_job()
    assert found(submission(path), check, subject).grade is grade


def test_heat_does_not_matter_on_the_pressed_board(small_job: Write) -> None:
    path = small_job(('stage = "sheet"', 'stage = "board"'), ("140 °C", "30 °C"))
    assert not any(f.check == "Heat of the press" for f in run_checks(submission(path)))


def test_tone_sum(small_job: Write) -> None:
    made = submission(small_job())
    assert made.tones is not None
    for greatest, grade in ((2.6, Grade.CLEAR), (2.61, Grade.STOP), (4.0, Grade.STOP)):
        tones = replace(made.tones, greatest_sum=greatest)
        assert found(replace(made, tones=tones), "Tone sum").grade is grade


def test_tone_ends(small_job: Write) -> None:
    made = submission(small_job(("[separation]", '[separation]\nsmall_dots = "drop"')))
    assert made.tones is not None
    for share, grade in ((0.02, Grade.CLEAR), (0.021, Grade.NOTE), (1.0, Grade.NOTE)):
        inks = tuple(replace(f, share_too_small=share) for f in made.tones.inks)
        changed = replace(made, tones=replace(made.tones, inks=inks))
        assert found(changed, "Highlights under the smallest dot").grade is grade


def test_transparent_art_is_told(small_job: Write) -> None:
    made = submission(small_job())
    assert made.tones is not None
    for share, grade in ((0.0004, Grade.CLEAR), (0.0006, Grade.CARE), (1.0, Grade.STOP)):
        tones = replace(made.tones, share_see_through=share)
        assert found(replace(made, tones=tones), "Art is opaque").grade is grade


def test_line_work_beyond_the_safe_area_is_told(small_job: Write) -> None:
    made = submission(small_job())
    for mm2, grade in ((2.0, Grade.CLEAR), (2.1, Grade.CARE), (900.0, Grade.CARE)):
        lines = (LineFacts(file="lines.png", mm2_beyond_safe=mm2, place_beyond_safe=None),)
        assert found(replace(made, lines=lines), "Safety margin").grade is grade


def test_colours_out_of_reach_are_told(small_job: Write) -> None:
    made = submission(small_job())
    assert made.tones is not None
    for share, grade in ((0.05, Grade.CLEAR), (0.051, Grade.NOTE), (0.9, Grade.CARE)):
        tones = replace(made.tones, share_out_of_reach=share)
        assert found(replace(made, tones=tones), "Colours within reach").grade is grade


def test_mirrored_films_need_care(small_job: Write) -> None:
    assert found(submission(small_job()), "Reading of the films").grade is Grade.CLEAR
    path = small_job(('"600 dpi"', '"600 dpi"\nreading = "mirrored"'))
    assert found(submission(path), "Reading of the films").grade is Grade.CARE


def test_a_coarse_mesh_beats_with_the_halftone(small_job: Write) -> None:
    calm = found(submission(small_job()), "Moiré with the mesh", "Cyan")
    assert calm.grade is Grade.CLEAR
    path = small_job(('"120/cm"', '"36/cm"'), ("angle = 22.5", "angle = 0.5"))
    assert found(submission(path), "Moiré with the mesh", "Cyan").grade is Grade.CARE


STOCHASTIC = ('ruling = "45 lpi"', 'ruling = "45 lpi"\ndot_shape = "stochastic"')


def test_thinned_ends_are_told_but_lose_nothing(small_job: Write) -> None:
    made = submission(small_job())
    assert made.tones is not None
    inks = tuple(replace(f, share_too_small=0.3) for f in made.tones.inks)
    told = found(replace(made, tones=replace(made.tones, inks=inks)),
                 "Highlights under the smallest dot")
    assert told.grade is Grade.CLEAR
    assert "fewer of them" in told.says


def test_stochastic_dots_have_no_ruling_and_no_angle(small_job: Write) -> None:
    checks = {f.check for f in run_checks(submission(small_job(STOCHASTIC)))}
    assert not checks & {"Mesh for the ruling", "Tone steps on the film", "Angle to the mesh",
                         "Angle between inks", "Moiré with the mesh", "Smallest hole"}
    assert "Smallest dot" in checks


def test_one_stochastic_ink_leaves_the_others_to_be_checked(small_job: Write) -> None:
    path = small_job(("angle = 22.5", 'angle = 22.5\ndot_shape = "stochastic"'))
    subjects = [f.subject for f in run_checks(submission(path)) if f.check == "Angle between inks"]
    assert subjects
    assert not any("Cyan" in subject for subject in subjects)


@pytest.mark.parametrize(("tint", "turned"), [("", set()), ('tint = "40 %"', {"Cyan"})])
def test_without_a_photograph_only_tints_have_angles(small_job: Write, tint: str,
                                                     turned: set[str]) -> None:
    path = small_job(('file = "photo.png"\nturn = 90', f'kind = "flat"\nink = "Cyan"\n{tint}'))
    findings = run_checks(submission(path))
    assert not any(f.check == "Angle between inks" for f in findings)
    assert {f.subject for f in findings if f.check == "Angle to the mesh"} == turned


@pytest.mark.parametrize(("dot", "mesh", "grade"), [
    ("170 um", "60/cm", Grade.CLEAR), ("165 um", "60/cm", Grade.CARE)])
def test_stochastic_dots_are_held_by_the_mesh(
    small_job: Write, dot: str, mesh: str, grade: Grade
) -> None:
    path = small_job((STOCHASTIC[0], f'{STOCHASTIC[1]}\nstochastic_dot = "{dot}"'),
                     ('"120/cm"', f'"{mesh}"'), ('"600 dpi"', '"1440 dpi"'))
    assert found(submission(path), "Smallest dot").grade is grade


@pytest.mark.parametrize(("ends", "grade"), [
    ("", Grade.CLEAR), ('smallest_tone = "18.2 %"', Grade.CLEAR),
    ('smallest_tone = "17.9 %"', Grade.CARE)])
def test_line_dots_are_held_as_lines(small_job: Write, ends: str, grade: Grade) -> None:
    """Three threads of 34 µm are 18.1 % of a line's period at 45 lines an inch."""
    path = small_job(('ruling = "45 lpi"', f'ruling = "45 lpi"\ndot_shape = "line"\n{ends}'))
    assert found(submission(path), "Smallest dot", "Cyan").grade is grade
