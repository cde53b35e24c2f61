"""Checks of the pressed board and its fittings: in order, just failing, absurd."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from preflight.board.fittings import LineKeptOff
from preflight.checks import limits
from preflight.checks.fitted_parts import hardware_lies_on_the_board, important_art_is_seen
from preflight.checks.pressed_shape import pressed_shape_is_printable
from preflight.facts.submission import Submission
from preflight.findings import Finding, Grade
from tests.prepared_jobs import laid_out

Write = Callable[..., Path]
# The small plank: 300 mm long; the safe area ends 8 mm inside the trim.
PROFILE = ('\n[profile]\ncamber = "0 mm"\nnose_rise = "8 mm"\nnose_length = "4 cm"\n'
           'tail_rise = "6 mm"\ntail_length = "3 cm"\n')
INSERTS = '\n[inserts]\npattern = "4x4"\nstance = "12 cm"\nholes_in_row = 2\n'
BOARD = ('stage = "sheet"', 'stage = "board"')


def submission(small_job: Write, tables: str, *changes: tuple[str, str]) -> Submission:
    path = small_job(*changes)
    path.write_text(path.read_text(encoding="utf-8") + tables, encoding="utf-8")
    laid = laid_out(path)
    return Submission(job=laid.job, outline=laid.outline, area=laid.area, art=laid.art,
                      film_length_mm=360, film_width_mm=140, tones=None, fittings=laid.fittings)


def found(made: Submission) -> dict[tuple[str, str], Finding]:
    findings = {(f.id, f.subject): f for check in (
        pressed_shape_is_printable, hardware_lies_on_the_board, important_art_is_seen)
        for f in check(made)}
    for finding in findings.values():
        assert finding.says.endswith(".")
        assert str(finding.source)
        assert bool(finding.mend) == (finding.grade is not Grade.CLEAR), finding
        assert finding.grade is Grade.CLEAR or finding.place is not None \
            or finding.id in ("profile-length", "frame-between-ends")
    return findings


def test_a_plain_job_hears_nothing(small_job: Write) -> None:
    assert not found(submission(small_job, ""))


@pytest.mark.parametrize(("length", "grade"), [
    (303.9, Grade.CLEAR), (304.2, Grade.CARE), (296.1, Grade.CLEAR), (295.8, Grade.CARE),
    (1500.0, Grade.STOP)])
def test_the_profile_is_that_boards(small_job: Write, length: float, grade: Grade) -> None:
    made = submission(small_job, '\n[profile]\npoints = "side.csv"\n', BOARD, (
        'name = "Small plank"', 'name = "Small plank"\noutline_view = "plan"')) \
        if _table(small_job, length) else None
    assert made is not None
    told = found(made)["profile-length", "board"]
    limit = limits.PROFILE_OF_ANOTHER if grade is Grade.STOP else limits.PROFILE_ENDS
    assert (told.grade, told.limit) == (grade, limit.figure)


def _table(small_job: Write, length: float) -> bool:
    folder = small_job().parent
    (folder / "side.csv").write_text(
        "\n".join(f"{-length / 2 + n * length / 20:.3f};0" for n in range(21)), encoding="utf-8")
    return True


# At 300 mm plan length the printed area ends 3 mm inside: x = -147 to 147. The nose rises from
# x = 110 by 8 (x - 110)² / 40²: 6.845 mm at 147; the tail from -120 by 6 v², 4.86 mm at -147.
PLAN = ('name = "Small plank"', 'name = "Small plank"\noutline_view = "plan"')


@pytest.mark.parametrize(("off", "grade"), [
    ("6.9 mm", Grade.CLEAR), ("6.6 mm", Grade.CARE), ("0 mm", Grade.CARE)])
def test_art_within_the_screens_reach(small_job: Write, off: str, grade: Grade) -> None:
    made = submission(small_job, PROFILE, BOARD, PLAN, (
        "inside_width", f'off_contact = "{off}"\npress_down = "9 mm"\ninside_width'))
    finding = found(made)["screen-reach", "pressed board"]
    assert finding.grade is grade
    if off == "0 mm":
        assert finding.place is not None
        assert finding.place.least_x_mm == pytest.approx(110, abs=0.1) or \
            finding.place.greatest_x_mm == pytest.approx(-120, abs=0.1)


def test_a_board_bent_out_of_reach_stops(small_job: Write) -> None:
    bent = PROFILE.replace('camber = "0 mm"', 'camber = "40 mm"')
    finding = found(submission(small_job, bent, BOARD, PLAN))["screen-reach", "pressed board"]
    assert finding.grade is Grade.STOP


@pytest.mark.parametrize(("inside", "grade"), [
    ("24 cm", Grade.CLEAR), ("26 cm", Grade.CARE), ("3 m", Grade.CARE)])
def test_a_frame_between_the_ends(small_job: Write, inside: str, grade: Grade) -> None:
    # 1 mm off-contact: through the mesh at 110 + 40 √(1/8) = 124.1 and -120 - 30 √(1/6) = -132.2.
    made = submission(small_job, PROFILE, BOARD, PLAN, ('"60 cm"', f'"{inside}"'), (
        "inside_width", 'off_contact = "1 mm"\ninside_width'))
    finding = found(made)["frame-between-ends", "screen frame"]
    assert finding.limit.value == pytest.approx(256.39, abs=0.05)
    assert finding.grade is grade


@pytest.mark.parametrize(("stance", "grade"), [
    ("12 cm", Grade.CARE), ("26 cm", Grade.STOP), ("90 cm", Grade.STOP)])
def test_inserts_on_a_narrow_board(small_job: Write, stance: str, grade: Grade) -> None:
    made = submission(small_job, INSERTS.replace("12 cm", stance))
    assert found(made)["inserts-on-board", "front foot"].grade is grade


@pytest.mark.parametrize(("waist", "grade"), [
    ("9.68 cm", Grade.CLEAR), ("9.6 cm", Grade.CARE)])
def test_inserts_keep_25_mm_from_the_edge(small_job: Write, waist: str, grade: Grade) -> None:
    # Straight sides 96.8 mm apart: 48.4 - 20 - 3.3 = 25.1 mm from hole to edge.
    made = submission(
        small_job, INSERTS, ('"8 cm"', f'"{waist}"'), ('"7 cm"', f'"{waist}"'),
        ('"7.8 cm"', f'"{waist}"'))
    finding = found(made)["inserts-on-board", "front foot"]
    assert finding.measured.value == pytest.approx(float(waist[:4]) * 5 - 23.3, abs=0.05)
    assert finding.grade is grade


def keep_out(x: float, y: float, diameter: float, ink: str = "off") -> str:
    return (f'\n[[keep_out]]\nname = "plate"\nat = ["{x} mm", "{y} mm"]\n'
            f'diameter = "{diameter} mm"\nink = "{ink}"\n')


@pytest.mark.parametrize(("place", "grade"), [
    (keep_out(0, 0, 20), Grade.CLEAR), (keep_out(0, 60, 20), Grade.NOTE),
    (keep_out(0, 0, 400, "over"), Grade.CLEAR), (keep_out(-60, 0, 190), Grade.STOP),
    (keep_out(900, 0, 20), Grade.NOTE)])
def test_keep_outs_meet_the_print(small_job: Write, place: str, grade: Grade) -> None:
    assert found(submission(small_job, place))["keep-outs-on-print", "plate"].grade is grade


@pytest.mark.parametrize(("mm2", "grade"), [
    (2.0, Grade.CLEAR), (2.1, Grade.CARE), (5000.0, Grade.CARE)])
def test_line_work_in_holes(small_job: Write, mm2: float, grade: Grade) -> None:
    line = LineKeptOff(file="lines.png", mm2_lost=mm2, bounds_mm=(0, 0, 8, 8))
    made = replace(submission(small_job, INSERTS), lines_kept_off=(line,))
    assert found(made)["line-work-in-holes", "lines.png"].grade is grade


def important(x: float, y: float, diameter: float) -> str:
    return (f'\n[[important]]\nname = "face"\nat = ["{x} mm", "{y} mm"]\n'
            f'diameter = "{diameter} mm"\n')


DISC_40 = INSERTS + 'binding_disc = "40 mm"\n'


@pytest.mark.parametrize(("check", "tables", "grade"), [
    # Bindings: discs of 40 mm at x = 60 and -60.
    ("important-under-binding", DISC_40 + important(0, 0, 79), Grade.CLEAR),
    ("important-under-binding", DISC_40 + important(0, 0, 83), Grade.CARE),
    ("important-under-binding", DISC_40 + important(60, 0, 30), Grade.CARE),
    # Holes at x = ±40, ±80, y = ±20, each taking 8.6 mm.
    ("important-in-keep-out", DISC_40 + important(60, 0, 47), Grade.CLEAR),
    ("important-in-keep-out", DISC_40 + important(60, 0, 52), Grade.CARE),
    ("important-in-keep-out", DISC_40 + important(40, 20, 6), Grade.STOP),
    ("important-in-keep-out", keep_out(0, 0, 20) + important(20.2, 0, 20), Grade.CLEAR),
    ("important-in-keep-out", keep_out(0, 0, 20) + important(19, 0, 20), Grade.CARE),
    ("important-in-keep-out", keep_out(0, 0, 20) + important(0, 0, 20), Grade.STOP),
    # The waist is 70 mm wide: safe within 27 mm of the centre line there.
    ("important-in-margin", important(0, 0, 52), Grade.CLEAR),
    ("important-in-margin", important(0, 0, 60), Grade.CARE),
    ("important-in-margin", important(0, 45, 20), Grade.STOP),
    ("important-in-margin", keep_out(0, 0, 20) + important(0, 0, 20), Grade.CLEAR)])
def test_important_art(small_job: Write, check: str, tables: str, grade: Grade) -> None:
    told = found(submission(small_job, tables))[check, "face"]
    limit = limits.IMPORTANT_LOST if grade is Grade.STOP else limits.IMPORTANT_CUT
    assert (told.grade, told.limit, told.measured.unit) == (grade, limit.figure, limit.unit)


@pytest.mark.parametrize(("x", "grade"), [
    (100.0, Grade.CLEAR), (114.5, Grade.CARE), (138.0, Grade.STOP)])
def test_important_art_within_reach(small_job: Write, x: float, grade: Grade) -> None:
    # The screen's reach ends at 124.1 mm, as above.
    made = submission(small_job, PROFILE + important(x, 0, 20), BOARD, PLAN, (
        "inside_width", 'off_contact = "1 mm"\ninside_width'))
    assert found(made)["important-out-of-reach", "face"].grade is grade
