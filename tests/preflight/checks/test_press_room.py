"""Register, frame, inks on each other, limits: in order, just failing, absurd."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from preflight.basis import Basis
from preflight.checks.catalogue import run_checks
from preflight.checks.limits import all_limits
from preflight.facts.ink_height_facts import InkLayer, LayerFacts, Overlap
from preflight.facts.mesh_hold_facts import DotsHeld, FaintLines, HoldFacts, InkHold, LineHold
from preflight.facts.submission import Submission
from preflight.findings import Finding, Grade, Place
from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from tests.prepared_jobs import laid_out

Write = Callable[..., Path]
BOARD = ('stage = "sheet"', 'stage = "board"')
PLACE = Place(least_x_mm=0, least_y_mm=0, greatest_x_mm=10, greatest_y_mm=10)


def submission(path: Path, **changes: object) -> Submission:
    laid = laid_out(path)
    made = Submission(job=laid.job, outline=laid.outline, area=laid.area, art=laid.art,
                      film_length_mm=360, film_width_mm=140, tones=None)
    return replace(made, **changes)  # type: ignore[arg-type]


def found(submission: Submission, check: str) -> Finding:
    finding = next(f for f in run_checks(submission) if f.id == check)
    assert bool(finding.mend) == (finding.grade is not Grade.CLEAR)
    assert str(finding.source)
    return finding


def register(text: str) -> tuple[str, str]:
    return "[frame]", f"[register]\n{text}\n[frame]"


def frame(text: str) -> tuple[str, str]:
    return 'inside_width = "40 cm"', f'inside_width = "40 cm"\n{text}'


@pytest.mark.parametrize(("check", "changes", "grade"), [
    ("register-and-trap", [register('placement = "0.1 mm"')], Grade.CLEAR),
    ("register-and-trap", [register('placement = "0.24 mm"')], Grade.NOTE),
    ("register-and-trap", [register('placement = "0.26 mm"')], Grade.CARE),
    ("register-and-trap", [register('humidity_swing = "100 %"')], Grade.CARE),
    ("register-and-trap", [register('placement = "5 cm"')], Grade.CARE),
    ("off-contact", [frame('off_contact = "1.6 mm"\npress_down = "20 cm"')], Grade.CLEAR),
    ("off-contact", [frame('off_contact = "1.5 mm"\npress_down = "20 cm"')], Grade.NOTE),
    ("off-contact", [frame('off_contact = "3.2 mm"\npress_down = "20 cm"')], Grade.NOTE),
    ("off-contact", [frame('off_contact = "12.8 mm"\npress_down = "20 cm"')], Grade.CARE),
    ("off-contact", [frame('off_contact = "20 cm"\npress_down = "20 cm"')], Grade.CARE),
    ("off-contact-stretch", [frame('off_contact = "6 mm"\npress_down = "20 cm"')], Grade.CLEAR),
    ("off-contact-stretch", [frame('off_contact = "8 mm"\npress_down = "20 cm"')], Grade.CARE),
    ("off-contact-stretch", [frame('off_contact = "20 cm"\npress_down = "20 cm"')], Grade.CARE),
    ("stroke-over-curve", [BOARD], Grade.CLEAR),
    ("stroke-over-curve", [BOARD, frame('stroke = "across"')], Grade.CARE),
    ("squeegee", [], Grade.CLEAR),
    ("squeegee", [frame('squeegee = "111 mm"')], Grade.CLEAR),
    ("squeegee", [frame('squeegee = "105 mm"')], Grade.CARE),
    ("squeegee", [frame('squeegee = "251 mm"')], Grade.CARE),
    ("squeegee", [frame('squeegee = "5 m"')], Grade.CARE),
    ("drying", [], Grade.CLEAR),
    ("drying", [("angle = 7.5", 'angle = 7.5\ncure = "air"')], Grade.NOTE),
])
def test_press_room(
    small_job: Write, check: str, changes: list[tuple[str, str]], grade: Grade
) -> None:
    assert found(submission(small_job(*changes)), check).grade is grade


def test_the_register_tells_its_place_and_a_trap_that_would_do(small_job: Write) -> None:
    path = small_job(register('placement = "0.4 mm"'))
    finding = found(submission(path), "register-and-trap")
    assert finding.place is not None
    assert finding.place.greatest_x_mm == pytest.approx(155)
    wider = path.read_text(encoding="utf-8").replace(
        "[separation]", '[separation]\ntrap = "0.6 mm"')
    path.write_text(wider, encoding="utf-8")
    assert found(submission(path), "register-and-trap").grade is Grade.CLEAR


def layers(**changes: object) -> LayerFacts:
    inks = tuple(InkLayer(ink=name, wet_um=15, dry_um=15, lightness=light, opacity=0.0)
                 for name, light in (("Yellow", 88), ("Magenta", 48), ("Cyan", 55),
                                     ("Black", 16)))
    made = LayerFacts(inks=inks, wet_um=38, dry_um=38, place=PLACE, overlaps=())
    return replace(made, **changes)  # type: ignore[arg-type]


def with_ink(number: int, **changes: object) -> LayerFacts:
    made = layers()
    inks = list(made.inks)
    inks[number] = replace(inks[number], **changes)  # type: ignore[arg-type]
    return replace(made, inks=tuple(inks))


@pytest.mark.parametrize(("check", "facts", "grade"), [
    ("opaque-first", with_ink(3, opacity=0.49), Grade.CLEAR),
    ("opaque-first", with_ink(0, opacity=1.0), Grade.CLEAR),
    ("opaque-first", with_ink(3, opacity=0.5), Grade.CARE),
    ("opaque-first", with_ink(3, opacity=1.0), Grade.CARE),
    ("light-first", with_ink(2, lightness=58), Grade.CLEAR),
    ("light-first", with_ink(2, lightness=59), Grade.NOTE),
    ("light-first", with_ink(3, lightness=100), Grade.NOTE),
    ("ink-height", layers(wet_um=60), Grade.CLEAR),
    ("ink-height", layers(wet_um=61), Grade.CARE),
    ("ink-height", layers(wet_um=900), Grade.CARE),
    ("sanding", with_ink(1, dry_um=8.0), Grade.CLEAR),
    ("sanding", with_ink(1, dry_um=7.9), Grade.CARE),
    ("sanding", with_ink(1, dry_um=0.1), Grade.CARE),
    ("inks-apart", layers(overlaps=(
        Overlap(upper="Black", lower="Cyan", mm2=4, place=PLACE),)), Grade.CLEAR),
    ("inks-apart", layers(overlaps=(
        Overlap(upper="Black", lower="Cyan", mm2=5, place=PLACE),)), Grade.CARE),
    ("inks-apart", layers(overlaps=(
        Overlap(upper="Black", lower="Cyan", mm2=4e5, place=PLACE),)), Grade.CARE),
])
def test_layers(small_job: Write, check: str, facts: LayerFacts, grade: Grade) -> None:
    assert found(submission(small_job(BOARD), layers=facts), check).grade is grade


def hold(worst: float = 0.0, thin_mm: float = 0.0, faint_mm: float = 0.0) -> HoldFacts:
    dots = DotsHeld(seen=900, lost=12, least_um=60, tone_lost=worst / 3, worst_tone_lost=worst,
                    place=PLACE)
    none = replace(dots, lost=0, tone_lost=0.0, worst_tone_lost=0.0)
    return HoldFacts(
        inks=(InkHold(ink="Cyan", held_um=83, windows=200, dots=dots, holes=none),),
        lines=tuple(LineHold(
            file="lines.png", ink="Black", kind=kind, held_um=102,
            narrowest_um=70 if thin_mm else None, thin_mm=thin_mm, mm2_lost=0.1, place=PLACE,
            unseen=3) for kind in ("line", "gap")),
        faint=(FaintLines(file="lines.png", mm=faint_mm, place=PLACE),))


@pytest.mark.parametrize(("check", "facts", "grade"), [
    ("dots-on-film", hold(0.01), Grade.CLEAR),
    ("dots-on-film", hold(0.011), Grade.NOTE),
    ("dots-on-film", hold(0.9), Grade.CARE),
    ("holes-on-film", hold(0.9), Grade.CLEAR),
    ("lines-on-film", hold(), Grade.CLEAR),
    ("lines-on-film", hold(thin_mm=2), Grade.NOTE),
    ("gaps-on-film", hold(thin_mm=2.1), Grade.CARE),
    ("lines-on-film", hold(thin_mm=1e5), Grade.CARE),
    ("strokes-lost", hold(faint_mm=1), Grade.CLEAR),
    ("strokes-lost", hold(faint_mm=1.1), Grade.CARE),
    ("strokes-lost", hold(faint_mm=1e5), Grade.CARE),
])
def test_hold(small_job: Write, check: str, facts: HoldFacts, grade: Grade) -> None:
    finding = found(submission(small_job(), hold=facts), check)
    assert finding.grade is grade
    assert (finding.place is None) == (grade is Grade.CLEAR)
    assert (finding.measured.value > finding.limit.value) is (grade is not Grade.CLEAR)


def test_dots_that_are_lost_all_over_show_what_is_lost_all_over(small_job: Write) -> None:
    """A note is for the worst place, a care for the whole print; a third of it is lost there."""
    note, care = (found(submission(small_job(), hold=hold(worst)), "dots-on-film")
                  for worst in (0.011, 0.9))
    assert (note.grade, care.grade) == (Grade.NOTE, Grade.CARE)
    assert note.measured.value == pytest.approx(1.1)
    assert care.measured.value == pytest.approx(30.0)


SEPARATION = "[separation]"
HALFTONE = 'ruling = "45 lpi"'


@pytest.mark.parametrize(("changes", "told", "untold"), [
    ([], "are cut by lines", "Set small_dots"),
    ([(SEPARATION, SEPARATION + '\nsmall_dots = "hold"')], 'Set small_dots = "thin"', "leave out"),
    ([(HALFTONE, HALFTONE + '\nsmallest_tone = "2 %"\nlargest_tone = "97 %"')],
     "Leave out smallest_tone and largest_tone", "small_dots"),
    ([(SEPARATION, SEPARATION + '\nsmall_dots = "drop"'),
      (HALFTONE, HALFTONE + '\nlargest_tone = "97 %"')],
     'Set small_dots = "thin", leave out largest_tone, which', "smallest_tone"),
])
def test_lost_dots_are_mended_by_what_the_job_does_not_do_yet(
        small_job: Write, changes: list[tuple[str, str]], told: str, untold: str) -> None:
    mend = found(submission(small_job(*changes), hold=hold(0.9)), "dots-on-film").mend
    assert told in mend
    assert untold not in mend
    assert "a finer mesh or a coarser ruling" in mend


def test_inks_that_must_not_meet_are_inks_of_the_job(small_job: Write) -> None:
    job = read_job(small_job(("angle = 52.5", 'angle = 52.5\nnot_over = ["Cyan"]')))
    assert job.ink[3].not_over == ("Cyan",)
    for wrong in ("Gold", "Black"):
        with pytest.raises(InputProblem) as caught:
            read_job(small_job(("angle = 52.5", f'angle = 52.5\nnot_over = ["{wrong}"]')))
        assert "ink[4].not_over" in caught.value.sentence
        assert f"'{wrong}'" in caught.value.sentence


def test_every_limit_is_told_with_its_basis() -> None:
    limits = all_limits()
    assert len({limit.name for limit in limits}) == len(limits) > 30
    for limit in limits:
        assert limit.unit
        assert limit.value >= 0
        if limit.basis is Basis.PUBLISHED:
            assert limit.told
            assert "memory" not in str(limit.source)
        else:
            assert str(limit.source).endswith(limit.basis.value)
