"""Limits of the checks against the pages that published them: each fails when its row is moved.

Checks are run on jobs that keep the published figure and on jobs that just miss it. ISO 12647-5,
the standard for screen printing, is not among the sources: of its text only the scope is public.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from preflight.basis import Basis
from preflight.checks import limits
from preflight.checks.angles import ANGLE_SET
from preflight.checks.catalogue import run_checks
from preflight.checks.limits import all_limits
from preflight.facts.mesh_hold_facts import HoldFacts, LetteringHold, LetterPart
from preflight.facts.submission import DrawingFacts, Submission
from preflight.findings import Finding, Grade, Place
from tests.prepared_jobs import laid_out

Write = Callable[..., Path]
Change = tuple[str, str]
CYAN = "angle = 22.5"
HERE = Place(least_x_mm=0, least_y_mm=0, greatest_x_mm=1, greatest_y_mm=1)


def submission(path: Path) -> Submission:
    laid = laid_out(path)
    return Submission(job=laid.job, outline=laid.outline, area=laid.area, art=laid.art,
                      film_length_mm=360, film_width_mm=140, tones=None)


def found(made: Submission, id_: str, subject: str = "") -> Finding:
    return next(f for f in run_checks(made) if f.id == id_ and (not subject
                                                                or subject in f.subjects))


def ruling_and_mesh(lpi: float, threads_per_inch: float) -> list[Change]:
    return [('"45 lpi"', f'"{lpi} lpi"'), ('"120/cm"', f'"{threads_per_inch}/in"')]


@pytest.mark.parametrize(("lpi", "mesh", "grade"), [
    (65, 227.5, Grade.CLEAR), (65, 227.0, Grade.CARE)])
def test_threads_per_line(small_job: Write, lpi: float, mesh: float, grade: Grade) -> None:
    """M. Coudray, screenweb.com, April 2003: 65 lines/in by 3.5 is 227.5, taken as 230 threads."""
    made = submission(small_job(*ruling_and_mesh(lpi, mesh)))
    assert found(made, "mesh-for-ruling", "Cyan").grade is grade


def test_the_ruling_that_advice_aims_at(small_job: Write) -> None:
    """Sefar, "Questions about half-tone printing": 150 threads/cm at 3.75 : 1 are 40 lines/cm."""
    made = submission(small_job(('"120/cm"', '"150/cm"'), ('"34 um"', '"31 um"'),
                                ('"45 lpi"', '"60 l/cm"')))
    assert "a ruling of 40 l/cm or coarser" in found(made, "mesh-for-ruling").mend
    assert "a mesh of 225 threads/cm or finer" in found(made, "mesh-for-ruling").mend


@pytest.mark.parametrize(("per_cm", "grade"), [(980, Grade.CLEAR), (979, Grade.CARE)])
def test_tone_steps(small_job: Write, per_cm: int, grade: Grade) -> None:
    """ISO 12647-9:2021, 4.2.2: 150 steps at least; 80 lines/cm on 1000/cm do (156)."""
    made = submission(small_job(('"45 lpi"', '"80 l/cm"'), ('"600 dpi"', f'"{per_cm} px/cm"')))
    assert found(made, "tone-steps", "Cyan").grade is grade
    enough = submission(small_job(('"45 lpi"', '"80 l/cm"'), ('"600 dpi"', '"1000 px/cm"')))
    assert round(found(enough, "tone-steps", "Cyan").measured.value) == 156


@pytest.mark.parametrize("angle", ANGLE_SET)
def test_the_published_angles_are_clear_of_the_mesh(small_job: Write, angle: float) -> None:
    """Sefar, as above: film angles 7.5, 22.5, 52.5 and 82.5° on a mesh at 0°."""
    assert ANGLE_SET == (7.5, 22.5, 52.5, 82.5)
    own = found(submission(small_job((CYAN, f"angle = {angle}"))), "angle-to-mesh", "Cyan")
    assert own.grade is Grade.CLEAR
    assert own.limit.value == min(ANGLE_SET) == 7.5
    for worst in (0, 45, 90):
        near = submission(small_job((CYAN, f"angle = {worst + 6.9}")))
        assert found(near, "angle-to-mesh", "Cyan").grade is Grade.CARE


def test_the_published_angles_are_clear_of_each_other(small_job: Write) -> None:
    """Sefar, as above: three inks 30° apart, the fourth 15° from the nearest."""
    made = submission(small_job())  # has the set; without tones every ink counts as dark
    near = found(made, "angle-between-inks", "Yellow")
    assert (near.grade, near.measured.value) == (Grade.CARE, 15.0)
    assert near.limit.value == 30.0
    assert limits.ANGLE_TO_LIGHT_INK.value == 15.0
    apart = [f for f in run_checks(made) if f.id == "angle-between-inks"
             and set(f.subjects) <= {"Magenta", "Cyan", "Black"}]
    assert [f.grade for f in apart] == [Grade.CLEAR] * 3
    closer = submission(small_job((CYAN, "angle = 23.1")))
    assert "Cyan and Black lie 29.4° apart" in found(closer, "angle-between-inks", "Black").says


@pytest.mark.parametrize(("pixels_per_line", "grade"), [
    (2.0, Grade.CLEAR), (1.99, Grade.NOTE), (1.5, Grade.NOTE), (1.49, Grade.CARE)])
def test_pixels_per_line(small_job: Write, pixels_per_line: float, grade: Grade) -> None:
    """newsday.com, specifications for advertisements: 2 : 1 recommended, 1.5 can be acceptable."""
    ppi = pixels_per_line * 45
    path = small_job(('file = "photo.png"\nturn = 90', f'file = "photo.png"\nturn = 90\n'
                      f'place = "scale"\nresolution = "{ppi:.4f} ppi"'))
    assert found(submission(path), "pixels-for-ruling").grade is grade


@pytest.mark.parametrize(("readings", "grade"), [(10, Grade.CLEAR), (9, Grade.NOTE)])
def test_readings_of_a_tone_curve(small_job: Write, readings: int, grade: Grade) -> None:
    """Sefar, "Half-tone printing process line": a step wedge with at least 10 tone values."""
    pairs = ", ".join(f"[{100 * n / (readings + 1):.2f}, {100 * n / (readings + 1):.2f}]"
                      for n in range(1, readings + 1))
    path = small_job(('ruling = "45 lpi"', f'ruling = "45 lpi"\ntone_curve = [{pairs}]'))
    assert found(submission(path), "tone-curve").grade is grade


@pytest.mark.parametrize(("point", "grade"), [(6.0, Grade.CLEAR), (5.9, Grade.CARE)])
def test_smallest_type(small_job: Write, point: float, grade: Grade) -> None:
    """precisemedia.com, artwork for screen-printed discs: serif typefaces from 6 pt."""
    note = DrawingFacts(subject="Cove", kind="note", ink="Black", finest_um=102, thin_mm2=0,
                        tight_mm2=0, place_thin=None, place_tight=None, mm2_beyond_safe=0,
                        place_beyond_safe=None, type_pt=point)
    made = replace(submission(small_job()), drawings=(note,))
    assert found(made, "type-size").grade is grade


@pytest.mark.parametrize(("inches", "grade"), [
    ("0.0625", Grade.CLEAR), ("0.061", Grade.NOTE), ("0.125", Grade.CLEAR), ("0.128", Grade.NOTE),
    ("0.5", Grade.NOTE), ("0.502", Grade.CARE)])
def test_off_contact(small_job: Write, inches: str, grade: Grade) -> None:
    """printwiki.org, "Off-Contact Printing": 1/16 to 1/8 in, occasionally 3/8 to 1/2 in."""
    path = small_job(('inside_width = "40 cm"', 'inside_width = "40 cm"\npress_down = "20 cm"\n'
                      f'off_contact = "{inches} in"'))
    assert found(submission(path), "off-contact").grade is grade


@pytest.mark.parametrize(("stroke_um", "asks"), [(91.0, True), (89.0, False)])
def test_thread_that_is_still_sold(small_job: Write, stroke_um: float, asks: bool) -> None:
    """polyestermesh.org, "Fabric types": polyester threads from 30 µm; three make a line."""
    part = LetterPart(kind="stroke", letters="l", um=stroke_um, held_um=102, under=1, place=HERE)
    letters = LetteringHold(
        subject="Cove", kind="note", ink="Black", reversed_out=False, letters=4, height_mm=1,
        shortest="o", parts=(part,), thread_um=34, capital_mm=1, holds_from=1.2)
    made = replace(submission(small_job()), hold=HoldFacts(
        inks=(), lines=(), faint=(), lettering=(letters,)))
    assert ("threads of 30 µm or thinner" in found(made, "lettering-on-film").mend) is asks


def test_every_published_row_has_a_check_here() -> None:
    assert {row.name for row in all_limits() if row.basis is Basis.PUBLISHED} == {
        row.name for row in (
            limits.THREADS_PER_LINE, limits.THREADS_AIMED_AT, limits.TONE_STEPS,
            limits.ANGLE_TO_MESH, limits.ANGLE_BETWEEN_INKS, limits.ANGLE_TO_LIGHT_INK,
            limits.PIXELS_PER_LINE, limits.PIXELS_ADVISED, limits.CURVE_READINGS,
            limits.LEAST_TYPE, limits.OFF_CONTACT_LEAST, limits.OFF_CONTACT_MOST,
            limits.OFF_CONTACT_EVER, limits.FINEST_THREAD)}
