"""Each check: a case in order, one that just fails, one absurd."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from preflight.checks import limits
from preflight.checks.catalogue import run_checks
from preflight.checks.limit_row import Limit
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


def found(submission: Submission, id_: str, *subjects: str | None) -> Finding:
    """The finding of an id that is about all of the subjects."""
    return next(f for f in run_checks(submission)
                if f.id == id_ and {s for s in subjects if s} <= set(f.subjects))


def test_a_good_job_has_no_stop_and_every_finding_is_whole(small_job: Write) -> None:
    findings = run_checks(submission(small_job()))
    assert not has_stop(findings)
    for finding in findings:
        assert finding.says.endswith(".")
        assert str(finding.source)
        assert bool(finding.mend) == (finding.grade is not Grade.CLEAR), finding
    # Some have nothing to say of a plain job without hardware or simulated prints.
    assert len({f.id for f in findings}) >= 20


@pytest.mark.parametrize(("check", "subject", "change", "grade"), [
    ("mesh-for-ruling", "Cyan", ('"120/cm"', '"62.1/cm"'), Grade.CLEAR),
    ("mesh-for-ruling", "Cyan", ('"120/cm"', '"61.9/cm"'), Grade.CARE),
    ("mesh-for-ruling", "Cyan", ('"120/cm"', '"20/cm"'), Grade.STOP),
    ("tone-steps", "Cyan", ('"600 dpi"', '"552 dpi"'), Grade.CLEAR),
    ("tone-steps", "Cyan", ('"600 dpi"', '"551 dpi"'), Grade.CARE),
    ("tone-steps", "Cyan", ('"600 dpi"', '"100 dpi"'), Grade.STOP),
    ("smallest-dot", "Cyan", ('ruling = "45 lpi"', 'ruling = "45 lpi"\nsmallest_tone = "1.8 %"'),
     Grade.CLEAR),
    ("smallest-dot", "Cyan", ('ruling = "45 lpi"', 'ruling = "45 lpi"\nsmallest_tone = "1.6 %"'),
     Grade.CARE),
    ("smallest-hole", "Cyan", ('ruling = "45 lpi"', 'ruling = "45 lpi"\nlargest_tone = "98.2 %"'),
     Grade.CLEAR),
    ("smallest-hole", "Cyan", ('ruling = "45 lpi"', 'ruling = "45 lpi"\nlargest_tone = "100 %"'),
     Grade.CARE),
    ("angle-to-mesh", "Cyan", ("angle = 22.5", "angle = 7.1"), Grade.CLEAR),
    ("angle-to-mesh", "Cyan", ("angle = 22.5", "angle = 6.9"), Grade.CARE),
    ("angle-to-mesh", "Cyan", ("angle = 22.5", "angle = 135"), Grade.CARE),
    ("angle-between-inks", "Cyan+Black", ("angle = 52.5", "angle = 52.1"), Grade.CLEAR),
    ("angle-between-inks", "Cyan+Black", ("angle = 52.5", "angle = 51.9"), Grade.CARE),
    ("angle-between-inks", "Yellow+Cyan", ("angle = 22.5", "angle = 21.9"), Grade.CARE),
    ("angle-between-inks", "Cyan+Black", ("angle = 52.5", "angle = 22.5"), Grade.CARE),
    ("heat", "Yellow+Magenta+Cyan+Black", ("140 °C", "95 °C"), Grade.CLEAR),
    ("heat", "Cyan", ("140 °C", "94 °C"), Grade.CARE),
    ("heat", "Cyan", ("140 °C", "30 °C"), Grade.STOP),
    ("heat-unknown", "Cyan", ('heat_limit = "140 °C"', ""), Grade.CARE),
    ("free-mesh-ends", None, ('"60 cm"', '"51 cm"'), Grade.CLEAR),
    ("free-mesh-ends", None, ('"60 cm"', '"50.9 cm"'), Grade.CARE),
    ("free-mesh-ends", None, ('"60 cm"', '"10 cm"'), Grade.STOP),
    ("film-length", None, ('"600 dpi"', '"600 dpi"\nlength = "36 cm"'), Grade.CLEAR),
    ("film-length", None, ('"600 dpi"', '"600 dpi"\nlength = "35.9 cm"'), Grade.STOP),
    ("film-width", None, ('"600 dpi"', '"600 dpi"\nwidth = "5 cm"'), Grade.STOP),
    ("pixels-for-ruling", None, ('ruling = "45 lpi"', 'ruling = "49 lpi"'), Grade.CLEAR),
    ("pixels-for-ruling", None, ('ruling = "45 lpi"', 'ruling = "55 lpi"'), Grade.NOTE),
    ("pixels-for-ruling", None, ('ruling = "45 lpi"', 'ruling = "85 lpi"'), Grade.CARE),
    ("pixels-for-ruling", None, ('ruling = "45 lpi"', 'ruling = "200 lpi"'), Grade.STOP),
    ("art-covers-bleed", None, ("turn = 90\n[[art]]", 'turn = 90\noffset_along = "5 mm"\n'
     "[[art]]"), Grade.CARE),
    ("art-covers-board", None, ("turn = 90\n[[art]]", 'turn = 90\noffset_along = "30 mm"\n'
     "[[art]]"), Grade.STOP),
    ("art-covers-board", None, ("turn = 90\n[[art]]", "turn = 90\n[[art]]"), Grade.CLEAR),
    ("tone-curve", None, ("angle = 22.5", "angle = 22.5"), Grade.NOTE),
    ("pixels-for-line-work", None, ("turn = 90", "turn = 90"), Grade.CARE),
    ("colour-profile", None, ("turn = 90", "turn = 90"), Grade.NOTE),
])
def test_limits(
    small_job: Write, check: str, subject: str | None, change: tuple[str, str], grade: Grade
) -> None:
    path = small_job(change) if change[0] != change[1] else small_job()
    assert found(submission(path), check, *(subject or "").split("+")).grade is grade


@pytest.mark.parametrize(("offsets", "blamed"), [
    ('offset_along = "30 mm"',
     'along the board: move it back to the middle (offset_along = "0 mm")'),
    ('crop_left = "10 %"\noffset_along = "30 mm"\noffset_across = "1 mm"',
     "along the board: move it back"),
    ('offset_across = "60 mm"',
     'across the board: move it back to the middle (offset_across = "0 mm")'),
    ('offset_along = "-30 mm"\noffset_across = "60 mm"', "along and across the board")])
def test_only_the_way_that_a_photo_was_moved_too_far_is_blamed(
        small_job: Write, offsets: str, blamed: str) -> None:
    path = small_job(("turn = 90\n[[art]]", f"turn = 90\n{offsets}\n[[art]]"))
    told = found(submission(path), "art-covers-board")
    assert told.grade is Grade.STOP
    assert f"moved too far {blamed}" in told.mend


def test_heat_does_not_matter_on_the_pressed_board(small_job: Write) -> None:
    path = small_job(('stage = "sheet"', 'stage = "board"'), ("140 °C", "30 °C"))
    assert not any(f.id == "heat" for f in run_checks(submission(path)))


def test_tone_sum(small_job: Write) -> None:
    made = submission(small_job())
    assert made.tones is not None
    for greatest, grade in ((2.6, Grade.CLEAR), (2.61, Grade.STOP), (4.0, Grade.STOP)):
        tones = replace(made.tones, greatest_sum=greatest)
        assert found(replace(made, tones=tones), "tone-sum").grade is grade


@pytest.mark.parametrize(("shape", "small_dots", "share", "grade"), [
    ("line", "thin", 0.01, Grade.CLEAR), ("line", "thin", 0.03, Grade.NOTE),
    ("line", "hold", 0.03, None), ("round", "thin", 0.03, None)])
def test_where_line_screens_break_is_told(small_job: Write, shape: str, small_dots: str,
                                          share: float, grade: Grade | None) -> None:
    made = submission(small_job(
        ('ruling = "45 lpi"', f'ruling = "45 lpi"\ndot_shape = "{shape}"'),
        ("[separation]", f'[separation]\nsmall_dots = "{small_dots}"')))
    assert made.tones is not None
    inks = tuple(replace(f, share_too_small=share) for f in made.tones.inks)
    told = [f for f in run_checks(replace(made, tones=replace(made.tones, inks=inks)))
            if f.id == "lines-whole"]
    if grade is None:
        assert not told
        return
    assert {f.grade for f in told} == {grade}
    smallest = made.job.halftone_of(made.job.ink[0]).smallest_tone
    assert f"run whole from {smallest * 100:.0f} to " in told[0].says


@pytest.mark.parametrize(("shape", "tint", "grade"), [
    ("line", "50 %", Grade.CLEAR), ("line", "4 %", Grade.NOTE), ("line", "96 %", Grade.NOTE),
    ("line", "100 %", None), ("round", "4 %", None)])
def test_drawn_tints_that_break_a_line_screen_are_told(
        small_job: Write, shape: str, tint: str, grade: Grade | None) -> None:
    made = submission(small_job(
        ('ruling = "45 lpi"', f'ruling = "45 lpi"\ndot_shape = "{shape}"'),
        ("[separation]", f'[[art]]\nkind = "flat"\nink = "Cyan"\ntint = "{tint}"\n[separation]')))
    told = [f for f in run_checks(made) if f.id == "tint-lines"]
    assert [(f.grade, f.subjects) for f in told] == ([] if grade is None else
                                                     [(grade, ("Cyan",))])
    if grade is Grade.NOTE:
        assert f"its tint of {tint} lies beyond" in told[0].says


def test_tone_ends(small_job: Write) -> None:
    made = submission(small_job(("[separation]", '[separation]\nsmall_dots = "drop"')))
    assert made.tones is not None
    for share, grade in ((0.02, Grade.CLEAR), (0.021, Grade.NOTE), (1.0, Grade.NOTE)):
        inks = tuple(replace(f, share_too_small=share) for f in made.tones.inks)
        changed = replace(made, tones=replace(made.tones, inks=inks))
        assert found(changed, "highlights-lost").grade is grade


def test_transparent_art_is_told(small_job: Write) -> None:
    made = submission(small_job())
    assert made.tones is not None
    for share, grade in ((0.0004, Grade.CLEAR), (0.0006, Grade.CARE), (1.0, Grade.STOP)):
        tones = replace(made.tones, share_see_through=share)
        told = found(replace(made, tones=tones), "photo-opaque")
        limit = limits.EMPTY_PHOTO if grade is Grade.STOP else limits.SEE_THROUGH
        assert (told.grade, told.limit) == (grade, limit.figure)


def test_line_work_beyond_the_safe_area_is_told(small_job: Write) -> None:
    made = submission(small_job())
    for mm2, grade in ((2.0, Grade.CLEAR), (2.1, Grade.CARE), (900.0, Grade.CARE)):
        lines = (LineFacts(file="lines.png", mm2_beyond_safe=mm2, place_beyond_safe=None),)
        assert found(replace(made, lines=lines), "safety-margin").grade is grade


def test_colours_out_of_reach_are_told(small_job: Write) -> None:
    made = submission(small_job())
    assert made.tones is not None
    for share, grade in ((0.05, Grade.CLEAR), (0.051, Grade.NOTE), (0.9, Grade.CARE)):
        tones = replace(made.tones, share_out_of_reach=share)
        told = found(replace(made, tones=tones), "colours-in-reach")
        limit = limits.FAR_OUT_OF_REACH if grade is Grade.CARE else limits.OUT_OF_REACH
        assert (told.grade, told.limit) == (grade, limit.figure)


@pytest.mark.parametrize(("changes", "check", "limit"), [
    (('"120/cm"', '"40/cm"'), "mesh-for-ruling", limits.LEAST_THREADS_PER_LINE),
    (('"45 lpi"', '"130 lpi"'), "tone-steps", limits.LEAST_TONE_STEPS),
    (("turn = 90", 'place = "scale"\nresolution = "30 ppi"'), "pixels-for-ruling",
     limits.PIXELS_TO_WASTE)])
def test_a_stop_shows_the_limit_of_a_stop(small_job: Write, changes: tuple[str, str], check: str,
                                          limit: Limit) -> None:
    told = found(submission(small_job(changes)), check)
    assert (told.grade, told.limit, str(told.source)) == (
        Grade.STOP, limit.least, str(limit.source))


def test_a_gap_never_used_shows_that_limit(small_job: Write) -> None:
    told = found(submission(small_job(
        ("inside_width", 'off_contact = "14 mm"\npress_down = "15 mm"\ninside_width'))),
        "off-contact")
    assert (told.grade, told.limit) == (Grade.CARE, limits.OFF_CONTACT_EVER.figure)


def test_mirrored_films_need_care(small_job: Write) -> None:
    assert found(submission(small_job()), "film-reading").grade is Grade.CLEAR
    path = small_job(('"600 dpi"', '"600 dpi"\nreading = "mirrored"'))
    assert found(submission(path), "film-reading").grade is Grade.CARE


def test_a_coarse_mesh_beats_with_the_halftone(small_job: Write) -> None:
    calm = found(submission(small_job()), "mesh-moire-by-angles", "Cyan")
    assert calm.grade is Grade.CLEAR
    path = small_job(('"120/cm"', '"36/cm"'), ("angle = 22.5", "angle = 0.5"))
    assert found(submission(path), "mesh-moire-by-angles", "Cyan").grade is Grade.CARE


STOCHASTIC = ('ruling = "45 lpi"', 'ruling = "45 lpi"\ndot_shape = "stochastic"')


def test_thinned_ends_are_told_but_lose_nothing(small_job: Write) -> None:
    made = submission(small_job())
    assert made.tones is not None
    inks = tuple(replace(f, share_too_small=0.3) for f in made.tones.inks)
    told = found(replace(made, tones=replace(made.tones, inks=inks)),
                 "highlights-lost")
    assert told.grade is Grade.CLEAR
    assert "fewer dots or holes" in told.says


def test_stochastic_dots_have_no_ruling_and_no_angle(small_job: Write) -> None:
    checks = {f.id for f in run_checks(submission(small_job(STOCHASTIC)))}
    assert not checks & {"mesh-for-ruling", "tone-steps", "angle-to-mesh",
                         "angle-between-inks", "mesh-moire-by-angles", "smallest-dot",
                         "smallest-hole"}
    assert "stochastic-dots" in checks


def test_one_stochastic_ink_leaves_the_others_to_be_checked(small_job: Write) -> None:
    path = small_job(("angle = 22.5", 'angle = 22.5\ndot_shape = "stochastic"'))
    subjects = [f.subjects for f in run_checks(submission(path)) if f.id == "angle-between-inks"]
    assert subjects
    assert not any("Cyan" in names for names in subjects)


@pytest.mark.parametrize(("tint", "turned"), [("", set()), ('tint = "40 %"', {"Cyan"})])
def test_without_a_photograph_only_tints_have_angles(small_job: Write, tint: str,
                                                     turned: set[str]) -> None:
    path = small_job(('file = "photo.png"\nturn = 90', f'kind = "flat"\nink = "Cyan"\n{tint}'))
    findings = run_checks(submission(path))
    assert not any(f.id == "angle-between-inks" for f in findings)
    assert {name for f in findings if f.id == "angle-to-mesh" for name in f.subjects} == turned


@pytest.mark.parametrize(("ends", "grade"), [
    ("", Grade.CLEAR), ('smallest_tone = "18.2 %"', Grade.CLEAR),
    ('smallest_tone = "17.9 %"', Grade.CARE)])
def test_line_dots_are_held_as_lines(small_job: Write, ends: str, grade: Grade) -> None:
    """Three threads of 34 µm are 18.1 % of a line's period at 45 lines an inch."""
    path = small_job(('ruling = "45 lpi"', f'ruling = "45 lpi"\ndot_shape = "line"\n{ends}'))
    assert found(submission(path), "smallest-dot", "Cyan").grade is grade
