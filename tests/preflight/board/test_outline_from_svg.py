"""SVG drawings: units, groups, and files that mean harm, each with its sentence."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from preflight.board.outline_from_file import read_outline_file
from preflight.board.outline_pieces import Allowance
from preflight.board.svg_shapes import runs_of
from preflight.input_problem import InputProblem
from tests.drawn_eggs import egg_path, greatest_stray_mm

SIZED = 'width="1700mm" height="400mm" viewBox="-850 -200 1700 400"'


def svg(path: Path, body: str, head: str = SIZED, before: str = "") -> Path:
    path.write_text(f'{before}<svg xmlns="http://www.w3.org/2000/svg" '
                    f'xmlns:xlink="http://www.w3.org/1999/xlink" {head}>{body}</svg>',
                    encoding="utf-8")
    return path


def egg(unit_mm: float = 1.0, more: str = "") -> str:
    return f'<path {more} d="{egg_path(unit_mm)}"/>'


def sentence(path: Path, **keys: Any) -> str:
    with pytest.raises(InputProblem) as caught:
        read_outline_file(path, **keys)
    return caught.value.sentence.replace(str(path.parent) + "/", "")


@pytest.mark.parametrize(("head", "unit_mm", "unit", "told"), [
    (SIZED, 1.0, None, "its size is written in mm"),
    ('width="17in" viewBox="0 0 1700 400"', 0.254, None, "its size is written in in"),
    ('width="100%" height="40cm" viewBox="0 0 1700 400"', 1.0, None, "its size is written in cm"),
    ('width="3400mm" height="400mm" viewBox="0 0 1700 400"', 1.0, None,
     "its size is written in mm"),
    ('width="9in" height="9in"', 25.4 / 96, None, "its size is written in in"),
    ('viewBox="0 0 170 40"', 10.0, "cm", "the job says cm"),
    ('width="1700" height="400"', 25.4 / 72, "pt", "the job says pt")])
def test_units(tmp_path: Path, head: str, unit_mm: float, unit: str | None, told: str) -> None:
    outline = read_outline_file(svg(tmp_path / "a.svg", egg(unit_mm), head), unit=unit)
    assert greatest_stray_mm(outline.ring_mm) < 0.005
    assert outline.remarks[0] == f"a.svg: the outline is 1580.00 × 300.00 mm; {told}."


def test_a_side_stretched_for_itself(tmp_path: Path) -> None:
    head = 'width="1700mm" height="800mm" viewBox="0 0 1700 400" preserveAspectRatio="none"'
    assert read_outline_file(svg(tmp_path / "a.svg", egg(), head)).width_mm == pytest.approx(600.0)


def test_units_are_asked_for(tmp_path: Path) -> None:
    path = svg(tmp_path / "a.svg", egg(), 'width="1700" height="400" viewBox="0 0 1700 400"')
    assert sentence(path) == ('a.svg: found a drawing 1580 units long that does not say its unit; '
                              'outline_unit = "mm" (1580 mm) would do.')
    path = svg(tmp_path / "a.svg", egg(0.3), 'width="1700px" height="400px"')
    assert sentence(path) == (
        'a.svg: found a drawing 5267 units long that does not say its unit; outline_unit = "px" '
        '(1393 mm) or outline_unit = "pt" (1858 mm) would do.')


@pytest.mark.parametrize(("unit_mm", "offered"), [
    # 3038 units are 804 mm in pixels and 1072 mm in points; 2633 are 697 and 929 mm
    (0.52, 'outline_unit = "px" (803.9 mm) or outline_unit = "pt" (1072 mm) would do.'),
    (0.6, 'long that does not say its unit; outline_unit = "pt" (929 mm) would do.')])
def test_units_of_usual_boards_are_offered_first(tmp_path: Path, unit_mm: float, offered: str
                                                 ) -> None:
    path = svg(tmp_path / "a.svg", egg(unit_mm), 'width="1700px" height="400px"')
    assert sentence(path).endswith(offered)


def test_an_ellipse_lies_about_its_centre() -> None:
    written = {"cx": "100", "cy": "20", "rx": "30", "ry": "10"}
    (run,) = runs_of("ellipse", written, 0.01, Allowance(where="a.svg"))
    corners = np.asarray(run.points)
    assert corners.min(axis=0) == pytest.approx([70.0, 10.0], abs=0.02)
    assert corners.max(axis=0) == pytest.approx([130.0, 30.0], abs=0.02)


def test_the_jobs_unit_wins_and_is_told(tmp_path: Path) -> None:
    outline = read_outline_file(svg(tmp_path / "a.svg", egg(), SIZED.replace("1700mm", "850mm")),
                                unit="mm")
    assert outline.length_mm == pytest.approx(1580.0)
    assert outline.remarks[1] == ("By the drawing's own size one unit of it is 0.5 mm; the job's "
                                  "outline_unit 'mm' was taken.")


def test_groups_are_layers_and_what_is_not_drawn_is_left_out(tmp_path: Path) -> None:
    path = svg(tmp_path / "a.svg", f"""
      <defs>{egg(0.7)}</defs><clipPath>{egg(0.7)}</clipPath><symbol id="s">{egg(0.7)}</symbol>
      <g style="display:none">{egg(0.7)}</g><text>{egg(0.7)}</text>
      <g id="layer1" label="Trim"><g transform="translate(5,5)">{egg()}</g></g>
      <g id="core">{egg(1.05)}</g>""")
    assert greatest_stray_mm(read_outline_file(path, layer="trim").ring_mm) < 0.005
    assert greatest_stray_mm(read_outline_file(path, layer="layer1").ring_mm) < 0.005
    assert "2 closed rings that could be the board" in sentence(path)
    assert sentence(path, layer="base") == (
        "a.svg: found no lines on a layer 'base'; one of 'Trim', 'core', 'layer1' would do.")


def test_symbols_have_their_own_view_box(tmp_path: Path) -> None:
    body = (f'<symbol id="s" viewBox="-425 -100 850 200">{egg(2.0)}</symbol>'
            '<use xlink:href="#s" x="-850" y="-200" width="1700" height="400"/>')
    assert greatest_stray_mm(read_outline_file(svg(tmp_path / "a.svg", body)).ring_mm) < 0.005
    body = f'<svg x="9" width="850" height="200" viewBox="0 0 425 100">{egg(2.0)}</svg>'
    assert greatest_stray_mm(read_outline_file(svg(tmp_path / "a.svg", body)).ring_mm) < 0.005


BOMB = ('<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>')
OUTSIDE = '<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/hostname">]>'
REFUSED = "a.svg: found entities or references to other files; a plain SVG without them would do."
PLAIN = "; a plain drawing of the board's outline would do."


@pytest.mark.parametrize(("body", "before", "says"), [
    ("<text>&b;</text>", BOMB, REFUSED),
    ("<text>&x;</text>", OUTSIDE, REFUSED),
    ('<use href="other.svg#board"/>', "", "a.svg: found a 'use' of something outside the file"
     + PLAIN),
    ('<g id="a"><use href="#a"/></g>', "", "a.svg: found a 'use' of 'a' within itself" + PLAIN),
    ('<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>', "",
     "a.svg: found a 'use' of 'b' within itself" + PLAIN),
    ("<g>" * 40 + egg() + "</g>" * 40, "", "a.svg: found groups nested more than 24 deep" + PLAIN),
    (egg(more='transform="twist(3)"'), "", "a.svg: found the transform 'twist(3)'" + PLAIN),
    (egg(more='transform="scale(1e999)"'), "", None),
    (f"<style>path {{ transform: scale(2) }}</style>{egg()}", "",
     "a.svg: found a style sheet that moves shapes" + PLAIN),
    ('<circle r="50%"/>', "", "a.svg: found the relative length 50%" + PLAIN),
    ('<circle r="wide"/>', "", "a.svg: found 'wide' for a length" + PLAIN),
    ('<polygon points="1 2 3"/>', "", "a.svg: found an odd number of coordinates in a list of "
     "points" + PLAIN),
    ('<path d="M 0 0 L 5 x 9"/>', "", "a.svg: found a path that cannot be read (ValueError)"
     + PLAIN),
    ('<path d="L 5 9 Z"/>', "", None), ('<path d="M nan nan L inf 3"/>', "", None),
    ("", "", "a.svg: found no line or curve; a drawing with the board's outline would do."),
])
def test_bad_drawings(tmp_path: Path, body: str, before: str, says: str | None) -> None:
    told = sentence(svg(tmp_path / "a.svg", body, before=before))
    assert told.endswith("would do.") if says is None else told == says


def test_copies_of_copies_are_bounded(tmp_path: Path) -> None:
    body = '<g id="c0"><path d="M0 0L1 1"/></g>' + "".join(
        f'<g id="c{n}">' + f'<use href="#c{n - 1}"/>' * 10 + "</g>" for n in range(1, 12))
    assert sentence(svg(tmp_path / "a.svg", body)) == (
        "a.svg: found more than 20,000 entities; a drawing of the board's outline alone would do.")


def test_what_is_no_svg(tmp_path: Path) -> None:
    path = tmp_path / "a.svg"
    asked = "an SVG drawing of at most 20 MB would do."
    assert sentence(path) == f"a.svg: found no such file; {asked}"
    path.write_bytes(b"<html></html>")
    assert sentence(path) == f"a.svg: found XML that begins with <html>; {asked}"
    for raw in (b"", b"\0\1\2", b"<svg", b"<?xml version='1.0' encoding='nowhere'?><svg/>"):
        path.write_bytes(raw)
        assert sentence(path).startswith("a.svg: found XML that is not well formed")
    with path.open("wb") as stream:
        stream.truncate(20_000_001)
    assert sentence(path) == f"a.svg: found more than 20 MB; {asked}"
    assert sentence(svg(path, egg(), 'viewBox="0 0 0 5"')) == \
        "a.svg: found '0 0 0 5' for a viewBox" + PLAIN


def test_a_hole_is_no_board_where_the_outline_has_a_gap(tmp_path: Path) -> None:
    path = svg(tmp_path / "a.svg", '<path d="M -800 -150 H 800 V 150 H -800 V -149.5"/>'
               '<circle cx="200" cy="0" r="4"/>')
    assert sentence(path) == (
        'a.svg: found an outline with a gap of 0.5 mm near (-800, 149.5), where 0.1 mm is '
        'allowed; a closed outline, or outline_gap = "0.6 mm", would do.')
    assert read_outline_file(path, gap_mm=0.6).length_mm == pytest.approx(1600.0)
