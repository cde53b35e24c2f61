"""SVG shapes against closed-form areas; style, clips, text; and files that mean harm."""

from __future__ import annotations

import math
from pathlib import Path
from time import process_time

import numpy as np
import pytest

from preflight.input_problem import InputProblem
from preflight.vector_art.lettering import open_face, set_words
from preflight.vector_art.svg_drawing import Painted, open_drawing, painted
from preflight.vector_art.svg_text import text_setter

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
PAGE = HEAD + 'viewBox="0 0 100 100" width="100mm" height="100mm">'
MM_PER_PX = 25.4 / 96


def draw(tmp_path: Path, body: str, head: str = PAGE) -> tuple[tuple[Painted, ...], list[str]]:
    """Paint a drawing of 100 mm at its natural size."""
    path = tmp_path / "drawing.svg"
    path.write_text(f"{head}{body}</svg>", encoding="utf-8")
    board = np.diag([MM_PER_PX, -MM_PER_PX, 1.0])
    marks, remarks = painted(open_drawing(path), board, text_setter(open_face(), path))
    return marks, list(remarks)


@pytest.mark.parametrize(("body", "area"), [
    ('<rect x="1" y="2" width="30" height="20"/>', 600),
    ('<rect width="30" height="20" rx="5"/>', 600 - (4 - math.pi) * 25),
    ('<rect width="30" height="20" rx="5" ry="2"/>', 600 - (4 - math.pi) * 10),
    ('<circle cx="50" cy="50" r="20"/>', math.pi * 400),
    ('<ellipse cx="50" cy="50" rx="20" ry="10" transform="rotate(30) scale(.5)"/>', math.pi * 50),
    ('<polygon points="0,0 10,0 10,10"/>', 50),
    ('<polyline points="0 0 10 0 10 10"/>', 50),
    ('<path d="M10 10 h20 v20 h-20 z m5 5 v10 h10 v-10 z"/>', 300),
    ('<path d="M10 10 h20 v20 h-20 z m5 5 h10 v10 h-10 z"/>', 400),
    ('<path fill-rule="evenodd" d="M10 10 h20 v20 h-20 z m5 5 h10 v10 h-10 z"/>', 300),
    ('<path d="M0 50 A50 50 0 0 1 100 50 z"/>', math.pi * 1250),
    ('<path d="M0 50 A50 25 0 0 0 100 50 z"/>', math.pi * 625),
    ('<path d="M0 0 Q50 100 100 0 z"/>', 100 * 50 * 2 / 3),
    ('<path d="M0 0 C0 100 100 100 100 0 z"/>', 6000),
    ('<line x1="0" y1="5" x2="40" y2="5" stroke="#000" stroke-width="2"/>', 80),
    ('<path d="M0 5 H40" stroke="black" style="stroke-width:2;stroke-linecap:square"/>', 84),
    ('<g transform="scale(2 1)"><path d="M0 5 H40" stroke="#000" stroke-width="2"/></g>', 160),
    ('<defs><rect id="r" width="5" height="4"/></defs><use href="#r" x="9"/>'
     '<use xlink:href="#r" y="50"/>', 40),
    ('<symbol id="s"><rect width="5" height="4"/></symbol><use href="#s"/>', 20),
    ('<clipPath id="c"><rect width="10" height="10"/></clipPath>'
     '<circle r="5" clip-path="url(#c)"/>', math.pi * 25 / 4),
    ('<style>rect { fill: none } .on, #it { fill: #123456 }</style><rect width="9" height="9"/>'
     '<rect class="on" width="2" height="2"/><rect id="it" y="9" width="3" height="3"/>', 13),
])
def test_areas(tmp_path: Path, body: str, area: float) -> None:
    marks, _ = draw(tmp_path, body)
    assert sum(mark.area.area for mark in marks) == pytest.approx(area, rel=3e-4)


@pytest.mark.parametrize("body", [
    '<rect width="9" height="9" fill="none"/>',
    '<g display="none"><rect width="9" height="9"/></g>',
    '<rect width="9" height="9" visibility="hidden"/>', '<rect width="9" height="9" opacity="0"/>',
    '<rect width="0" height="9"/>', '<rect width="9" height="9" transform="scale(0)"/>',
    "<script>alert(1)</script>", '<path d=""/>', '<use href="other.svg#a"/>',
    '<image href="file:///etc/passwd"/>'])
def test_what_paints_nothing(tmp_path: Path, body: str) -> None:
    assert draw(tmp_path, body)[0] == ()


def test_paint_order_and_colours(tmp_path: Path) -> None:
    marks, _ = draw(tmp_path, '<g fill="red" stroke="rgb(0,0,255)"><rect width="9" height="9"/>'
                              '<circle r="3" fill="currentColor" color="#0f0"/></g>')
    assert [m.colour for m in marks] == ["#ff0000", "#0000ff", "#00ff00", "#0000ff"]


def test_a_page_keeps_its_proportions_in_the_middle(tmp_path: Path) -> None:
    head = HEAD + 'viewBox="10 10 10 10" width="100mm" height="50mm">'
    marks, _ = draw(tmp_path, '<rect x="10" y="10" width="10" height="10"/>', head)
    assert marks[0].area.bounds == pytest.approx((25, -50, 75, 0))


def test_text_is_the_letters_that_the_shaper_sets(tmp_path: Path) -> None:
    marks, remarks = draw(tmp_path, '<text x="50" y="40" font-size="10" text-anchor="middle">'
                                    "Höhe <tspan>128 m</tspan></text>")
    letters = set_words("Höhe ", open_face(), 10, where="")
    tail = set_words("128 m", open_face(), 10, where="")
    assert marks[0].area.area == pytest.approx(letters.area.area + tail.area.area, rel=1e-6)
    assert len(remarks) == 1


@pytest.mark.parametrize(("body", "found"), [
    ('<rect width="9" height="9" fill="url(#gradient)"/>', "not a plain colour"),
    ('<rect width="9e9" height="9"/>', "the length"),
    ('<path d="M0 0 L1e308 5 z"/>', "out of reach"),
    ('<g transform="scale(1e300)"><rect width="9" height="9"/></g>', "the transform"),
    ('<polygon points="0,0 1e300,0 5,5"/>', "the numbers"),
    ('<text y="9">\U0001f3c2</text>', "U\\+1F3C2"),
    ('<g id="a"><use href="#a"/></g>', "contain themselves"),
    ('<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>', "contain themselves"),
])
def test_what_cannot_be_drawn_is_named(tmp_path: Path, body: str, found: str) -> None:
    with pytest.raises(InputProblem, match=found):
        draw(tmp_path, body)


def test_a_gradient_is_refused_in_one_clean_sentence(tmp_path: Path) -> None:
    with pytest.raises(InputProblem) as problem:
        draw(tmp_path, '<rect width="9" height="9" fill="url(#g)"/>')
    assert problem.value.sentence.endswith(
        ": found the fill 'url(#g)', which is not a plain colour; an SVG of plain shapes would do.")


def test_uses_of_uses_are_counted(tmp_path: Path) -> None:
    tiers = "".join(f'<g id="t{k}">' + f'<use href="#t{k + 1}"/>' * 10 + "</g>" for k in range(12))
    begun = process_time()
    with pytest.raises(InputProblem, match="too many parts"):
        draw(tmp_path, f'{tiers}<g id="t12"><rect width="1" height="1"/></g>')
    assert process_time() - begun < 20


@pytest.mark.parametrize(("text", "found"), [
    ('<!DOCTYPE svg [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]>' + PAGE + "&b;</svg>", "entities"),
    ('<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]>' + PAGE + "&x;</svg>", "entities"),
    ("<svg", "not well formed"), ("<html/>", "begins with <html>"), (PAGE, "not well formed"),
    ("<svg xmlns='http://www.w3.org/2000/svg'><g/></svg>", "no 'viewBox'"),
    ("\x00\x01binary", "not well formed")])
def test_files_that_are_no_drawings(tmp_path: Path, text: str, found: str) -> None:
    path = tmp_path / "x.svg"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputProblem, match=found):
        open_drawing(path)


def test_a_document_type_alone_does_no_harm(tmp_path: Path) -> None:
    kind = ('<?xml version="1.0"?><!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" '
            '"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">')
    marks, _ = draw(tmp_path, '<rect width="2" height="2"/>', kind + PAGE)
    assert len(marks) == 1


def test_dashes_without_end_leave_a_line_whole(tmp_path: Path) -> None:
    begun = process_time()
    marks, _ = draw(tmp_path, '<path d="M0 5 H90" stroke="#000" stroke-width="1" '
                              'stroke-dasharray="1e-9"/>')
    assert sum(m.area.area for m in marks) == pytest.approx(90)
    assert process_time() - begun < 20
