"""A PDF's paths on the board, held against the same drawing as an SVG and against plain areas."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from reportlab.pdfgen.canvas import Canvas
from shapely import MultiPolygon, Polygon, box, union_all

from preflight.files.pdf_file import PdfPage, open_page
from preflight.input_problem import InputProblem
from preflight.units import MM_PER_INCH, POINTS_PER_INCH
from preflight.vector_art.lettering import Letters
from preflight.vector_art.pdf_drawing import painted_page
from preflight.vector_art.svg_drawing import Painted, open_drawing, painted
from tests.pdf_pages import SIZE, changed, spot, write_pdf

MM = MM_PER_INCH / POINTS_PER_INCH
TO_MM = np.diag([MM, MM, 1.0])


def page_of(path: Path, number: int | None = None) -> PdfPage:
    return open_page(path, number, mark_spots=True)


def drawn(path: Path) -> tuple[Painted, ...]:
    return painted_page(page_of(path), TO_MM)


def refusal(path: Path) -> str:
    with pytest.raises(InputProblem) as caught:
        drawn(path)
    return caught.value.sentence.replace(f"{path.parent}/", "")


def lines(canvas: Canvas) -> None:
    """All that paths can be: fills by both rules, curves, caps, joins, dashes, clips, turns."""
    canvas.setFillColorRGB(1, 0, 0)
    path = canvas.beginPath()
    path.moveTo(100, 60)
    path.curveTo(150, 200, 250, 200, 300, 60)
    path.close()
    for left in (150.0, 165.0):
        path.rect(left, 80, 40, 40)
    canvas.drawPath(path, fill=1, stroke=0, fillMode=0)
    canvas.saveState()
    canvas.translate(450, 114)
    canvas.rotate(30)
    canvas.scale(2, 1)
    clip = canvas.beginPath()
    clip.rect(-30, -30, 60, 45)
    canvas.clipPath(clip, stroke=0, fill=0)
    canvas.setStrokeColorRGB(0, 0, 1)
    canvas.setLineWidth(12)
    canvas.setLineJoin(1)
    canvas.rect(-20, -20, 40, 40, fill=0)
    canvas.restoreState()
    canvas.setStrokeColorRGB(0, 0.5, 0)
    canvas.setLineWidth(6)
    canvas.setLineCap(1)
    canvas.setDash([20, 12, 5, 12], 7)
    canvas.line(560, 40, 820, 190)


SAME_AS_SVG = """<svg xmlns="http://www.w3.org/2000/svg" width="850pt" height="228pt"
 viewBox="0 0 850 228"><clipPath id="c"><rect x="-30" y="-30" width="60" height="45"/></clipPath>
<g transform="translate(0 228) scale(1 -1)" stroke-miterlimit="10">
<path fill="#ff0000" fill-rule="evenodd" d="M100 60C150 200 250 200 300 60z
 M150 80h40v40h-40z M165 80h40v40h-40z"/>
<g transform="translate(450 114) rotate(30) scale(2 1)"><g clip-path="url(#c)">
<rect x="-20" y="-20" width="40" height="40" fill="none" stroke="#0000ff" stroke-width="12"
 stroke-linejoin="round"/></g></g>
<path d="M560 40L820 190" stroke="#008000" stroke-width="6" stroke-linecap="round"
 stroke-dasharray="20 12 5 12" stroke-dashoffset="7"/></g></svg>"""


def no_text(*_: object) -> Letters:
    raise AssertionError


def area_of(marks: tuple[Painted, ...], colour: str) -> MultiPolygon | Polygon:
    return union_all([mark.area for mark in marks if mark.colour == colour])


def test_it_is_drawn_as_the_same_drawing_in_svg(tmp_path: Path) -> None:
    (tmp_path / "a.svg").write_text(SAME_AS_SVG, encoding="utf-8")
    svg = open_drawing(tmp_path / "a.svg")
    from_svg, _ = painted(svg, np.diag([MM_PER_INCH / 96, MM_PER_INCH / 96, 1.0]), no_text)
    from_pdf = drawn(write_pdf(tmp_path / "a.pdf", lines))
    assert [mark.colour for mark in from_pdf] == [mark.colour for mark in from_svg]
    for colour in ("#ff0000", "#0000ff", "#008000"):
        one, other = area_of(from_pdf, colour), area_of(from_svg, colour)
        assert one.area > 50
        # Within a tenth of a film pixel at 1440 dpi all along the edge.
        assert one.symmetric_difference(other).area < 0.0018 * one.length


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_a_turned_page_with_a_crop_box_lies_as_it_is_looked_at(tmp_path: Path, turn: int) -> None:
    def corner(canvas: Canvas) -> None:
        canvas.rect(100, 28, 60, 30, fill=1, stroke=0)  # from the crop box's lower left corner

    def turned(pdf: pikepdf.Pdf) -> None:
        pdf.pages[0].obj.CropBox = [100, 28, 500, 228]
        del pdf.pages[0].obj["/Rotate"]
        pdf.pages[0].obj.Parent.Rotate = turn

    path = changed(write_pdf(tmp_path / "a.pdf", corner), turned)
    page = page_of(path)
    wide, high = (400, 200) if turn in (0, 180) else (200, 400)
    assert (page.width_pt, page.height_pt) == (wide, high)
    (mark,) = painted_page(page, np.eye(3))
    # Turned clockwise, the lower left corner goes to the upper left, upper right, lower right.
    assert mark.area.equals(box(*{0: (0, 170, 60, 200), 90: (0, 0, 30, 60),
                                  180: (340, 0, 400, 30), 270: (170, 340, 200, 400)}[turn]))


def test_spot_colours_are_painted_in_their_name(tmp_path: Path) -> None:
    def two(canvas: Canvas) -> None:
        for name, left in (("Night blue", 0), ("Sand", 200)):
            canvas.setFillColor(spot(name))
            canvas.rect(left, 0, 100, 100, fill=1, stroke=0)
        canvas.setStrokeColor(spot("Sand"))
        canvas.line(400, 100, 500, 100)
        canvas.setFillColorCMYK(0, 0, 0, 0)
        canvas.rect(20, 20, 10, 10, fill=1, stroke=0)

    path = write_pdf(tmp_path / "a.pdf", two)
    assert [mark.colour for mark in drawn(path)] == ["Night blue", "Sand", "Sand", "#ffffff"]


def test_a_tint_of_a_spot_colour_is_told(tmp_path: Path) -> None:
    def tint(canvas: Canvas) -> None:
        canvas.setFillColor(spot("Sand").clone(density=0.4))
        canvas.rect(0, 0, 100, 100, fill=1, stroke=0)

    assert "found 40 % of the spot colour 'Sand'" in refusal(write_pdf(tmp_path / "a.pdf", tint))


def test_forms_are_drawn_where_they_are_put(tmp_path: Path) -> None:
    def twice(canvas: Canvas) -> None:
        canvas.beginForm("tick", 0, 0, 50, 50)
        canvas.rect(10, 10, 60, 20, fill=1, stroke=0)  # cut off at the form's edge
        canvas.endForm()
        for left in (100, 300):
            canvas.saveState()
            canvas.translate(left, 40)
            canvas.doForm("tick")
            canvas.restoreState()

    marks = painted_page(page_of(write_pdf(tmp_path / "a.pdf", twice)), np.eye(3))
    assert union_all([mark.area for mark in marks]).symmetric_difference(union_all(
        [box(110, 158, 150, 178), box(310, 158, 350, 178)])).area < 1e-3


def _text(canvas: Canvas) -> None:
    from pathlib import Path as _Path

    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    import preflight.vector_art

    fonts = _Path(preflight.vector_art.__file__ or "").parent / "fonts"
    pdfmetrics.registerFont(TTFont("shipped", fonts / "DejaVuSans.ttf"))
    canvas.setFont("shipped", 20)
    canvas.drawString(100, 100, "Cove")


def _absent(canvas: Canvas) -> None:
    canvas.setFont("Times-Roman", 20)
    canvas.drawString(100, 100, "Cove")


def _gradient(canvas: Canvas) -> None:
    canvas.linearGradient(0, 0, 100, 100, ((1, 0, 0), (0, 0, 1)))


def _see_through(canvas: Canvas) -> None:
    canvas.setFillAlpha(0.5)
    canvas.rect(0, 0, 100, 100, fill=1, stroke=0)


def _hairline(canvas: Canvas) -> None:
    canvas.setLineWidth(0)
    canvas.line(0, 0, 100, 100)


def _picture(canvas: Canvas) -> None:
    from PIL import Image
    from reportlab.lib.utils import ImageReader

    canvas.drawImage(ImageReader(Image.new("RGB", (8, 8))), 0, 0, 100, 100)


@pytest.mark.parametrize(("draw", "found"), [
    (_text, "found text that is not turned into outlines; a page of plain paths"),
    (_absent, "found text in the font 'Times-Roman', which the file does not hold"),
    (_gradient, "found a pattern or gradient"), (_see_through, "found a part that is transparent"),
    (_hairline, "found a line of width 0"), (_picture, "found a picture")],
    ids=lambda value: getattr(value, "__name__", ""))
def test_what_is_no_plain_path_is_named(
    tmp_path: Path, draw: Callable[[Canvas], None], found: str
) -> None:
    assert found in refusal(write_pdf(tmp_path / "a.pdf", draw))


def test_points_lie_where_they_were_set(tmp_path: Path) -> None:
    def dot(canvas: Canvas) -> None:
        canvas.rect(SIZE[0] - 10, SIZE[1] - 10, 10, 10, fill=1, stroke=0)

    (mark,) = drawn(write_pdf(tmp_path / "a.pdf", dot))
    assert np.allclose(mark.area.bounds, [840 * MM, 0, 850 * MM, 10 * MM], atol=1e-4)
