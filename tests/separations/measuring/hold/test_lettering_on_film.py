"""Lettering of a small job on its films' own bits: sizes, limits, mends, reversed out."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
import pytest
from shapely import Polygon, get_parts, maximum_inscribed_circle

from preflight.checks.hold_on_mesh import lettering_is_held
from preflight.facts.mesh_hold_facts import HoldFacts, LetteringHold, LetterPart
from preflight.facts.submission import Submission
from preflight.findings import Finding, Grade
from separations.measuring.hold.lettering_on_film import measure_lettering
from separations.planes.laid_out_job import LaidOutJob
from separations.report.hold_map import hold_picture
from tests.prepared_jobs import contents_of, laid_out, overlays_on, prepare, separated

Write = Callable[..., Path]
FINE = ('"600 dpi"', '"1440 dpi"')
PIXEL_UM = 25_400 / 1440
NOTE = """
[[note]]
text = "{text}"
at = ["-60 mm", "-22 mm"]
label_offset = ["0 mm", "4 mm"]
ink = "{ink}"
cap_height = "{cap}"
[frame]"""
REVERSED = """
[[art]]
file = "panel.svg"
kind = "flat"
place = "scale"
width = "40 mm"
offset_along = "-60 mm"
offset_across = "-22 mm"
colours = {{ "#000000" = "Black" }}
[separation]"""
PANEL = """<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="12mm" viewBox="0 0 40 12">
<rect width="40" height="12" fill="#000"/>
<text x="4" y="8" font-size="{size}" fill="#fff">age 8</text></svg>"""


def with_note(small_job: Write, cap: str, ink: str = "Black", text: str = "Teal Cove, 8") -> Path:
    return small_job(FINE, ("[frame]", NOTE.format(cap=cap, ink=ink, text=text)))


def measured(path: Path) -> tuple[tuple[LetteringHold, ...], LaidOutJob]:
    laid = laid_out(path)
    separation = separated(laid, 72)
    overlays = overlays_on(laid, separation, 72)
    contents = contents_of(laid, separation, overlays)
    return tuple(one.facts for one in measure_lettering(laid.job, overlays, contents)), laid


def part(facts: LetteringHold, kind: str) -> LetterPart:
    return next(p for p in facts.parts if p.kind == kind)


@pytest.mark.parametrize("cap_mm", [0.8, 1.5, 3.0])
def test_an_o_has_on_the_film_the_counter_and_height_that_it_was_drawn_with(
    small_job: Write, cap_mm: float
) -> None:
    (facts,), laid = measured(with_note(small_job, f"{cap_mm} mm", text="o"))
    (letter,) = laid.drawn[-1].letters
    (outline,) = get_parts(letter.area)
    counter_um = 2000 * maximum_inscribed_circle(Polygon(outline.interiors[0])).length
    least_x, _, greatest_x, _ = letter.area.bounds  # it reads towards the nose: y is its height
    assert part(facts, "counter").um == pytest.approx(counter_um, abs=1.2 * PIXEL_UM)
    height_mm = letter.area.bounds[3] - letter.area.bounds[1]
    assert facts.height_mm == pytest.approx(height_mm, abs=1.5 * PIXEL_UM / 1000)
    assert (facts.letters, facts.shortest) == (1, "o")
    x, y = part(facts, "counter").place.centre_mm
    assert (x, y) == pytest.approx(letter.area.centroid.coords[0], abs=0.1)
    assert least_x < x < greatest_x
    place = part(facts, "counter").place  # a millimetre each way: seen on the proof
    assert place.greatest_x_mm - place.least_x_mm == pytest.approx(1.0, abs=0.05)
    assert place.greatest_y_mm - place.least_y_mm == pytest.approx(1.0, abs=0.05)


def test_the_gap_of_two_letters_is_as_drawn(small_job: Write) -> None:
    (facts,), laid = measured(with_note(small_job, "2 mm", text="nn"))
    one, other = laid.drawn[-1].letters
    assert part(facts, "gap").letters == "nn"
    assert part(facts, "gap").um == pytest.approx(1000 * one.area.distance(other.area),
                                                  abs=1.2 * PIXEL_UM)


@pytest.mark.parametrize(("cap", "grade"), [("3 mm", Grade.CLEAR), ("0.9 mm", Grade.CARE),
                                            ("0.3 mm", Grade.CARE)])
def test_in_order_just_failing_and_absurd(small_job: Write, cap: str, grade: Grade) -> None:
    (lettering,), laid = measured(with_note(small_job, cap))
    found = findings_of(laid, lettering)
    assert {f.grade for f in found} == {grade}
    finding, = found
    assert finding.id == "lettering-on-film"
    if grade is Grade.CLEAR:
        return
    assert finding.measured.value < finding.limit.value
    assert "thread diameters" in str(finding.source)
    assert finding.place is not None
    x, y = finding.place.centre_mm
    assert abs(x + 60) < 12
    assert abs(y + 18) < 3
    if cap == "0.3 mm":
        for part_ in ("thinnest stroke", "smallest counter", "narrowest gap"):
            assert part_ in finding.says
    # What is said to hold does, and the step beneath it does not.
    assert lettering.holds_from is not None
    mended = round(lettering.capital_mm * lettering.holds_from, 1)
    assert f"cap_height of {mended:.1f} mm" in found[0].mend
    (larger,), _ = measured(with_note(small_job, f"{mended} mm"))
    assert not any(p.under for p in larger.parts)
    (beneath,), _ = measured(with_note(small_job, f"{mended - 0.1:.1f} mm"))
    assert any(p.under for p in beneath.parts)


def test_a_run_tells_of_small_letters_and_rings_them(small_job: Write) -> None:
    prepared = prepare(with_note(small_job, "0.8 mm", text="ea"))
    assert any(f.id == "lettering-on-film" and f.grade is Grade.CARE
               for f in prepared.findings)
    picture = hold_picture(prepared.hold, prepared.laid, prepared.separation)
    assert picture is not None
    red, green, blue = (picture[..., n].astype(int) for n in range(3))
    assert ((green > red + 40) & (green > blue + 20)).any()


def findings_of(laid: LaidOutJob, *lettering: LetteringHold) -> list[Finding]:
    return list(lettering_is_held(Submission(
        job=laid.job, outline=laid.outline, area=laid.area, art=laid.art, film_length_mm=0,
        film_width_mm=0, tones=None,
        hold=HoldFacts(inks=(), lines=(), faint=(), lettering=lettering))))


def panel_job(small_job: Write, size: float) -> Path:
    path = small_job(FINE, ("[separation]", REVERSED.format()))
    (path.parent / "panel.svg").write_text(PANEL.format(size=size), encoding="utf-8")
    return path


def test_letters_cut_out_of_a_flat_are_measured_as_gaps(small_job: Write) -> None:
    (facts,), laid = measured(panel_job(small_job, 4))
    assert facts.reversed_out
    assert facts.ink == "Black"
    assert facts.letters == 4
    drawn = next(d for d in laid.drawn if d.cut_letters)
    assert "".join(letter.text for letter in drawn.cut_letters) == "age8"
    assert not any(p.under for p in facts.parts)
    (small,), _ = measured(panel_job(small_job, 1))
    assert part(small, "stroke").under
    assert part(small, "stroke").um < part(small, "stroke").held_um
    said = next(f for f in findings_of(laid, small) if f.id == "lettering-on-film")
    assert said.says.startswith("Reversed out of Black")
    assert "fills in part" in said.says
    assert "times as large" in said.mend


def test_a_light_note_over_a_dark_photo_is_reversed_out_of_its_films(small_job: Write) -> None:
    facts, _ = measured(with_dark_photo(small_job, "2 mm"))
    own = next(f for f in facts if f.ink == "Yellow")
    assert own.grown_by_trap
    assert not own.reversed_out
    others = [f for f in facts if f.reversed_out]
    assert {f.ink for f in others} == {"Black"}  # the one ink of half tone and more
    # The trap fattens the yellow letters; in the black they are cleared, but no more than that.
    assert part(own, "stroke").um > part(others[0], "stroke").um
    assert part(others[0], "stroke").um > part(others[0], "stroke").held_um
    tiny, _ = measured(with_dark_photo(small_job, "0.8 mm"))
    closed = next(f for f in tiny if f.reversed_out)
    assert part(closed, "stroke").um < part(closed, "stroke").held_um
    assert part(closed, "stroke").under
    large, _ = measured(with_dark_photo(small_job, "8 mm"))
    clear = next(f for f in large if f.reversed_out)
    assert not any(p.under for p in clear.parts)
    assert clear.letters == 10


def with_dark_photo(small_job: Write, cap: str) -> Path:
    path = with_note(small_job, cap, ink="Yellow")
    cv2.imwrite(str(path.parent / "photo.png"), np.full((360, 1240, 3), (30, 40, 55), np.uint8))
    return path
