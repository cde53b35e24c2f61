"""A board's drawing as SVG, 1:1: one unit is one millimetre."""

from __future__ import annotations

from xml.etree.ElementTree import Element, indent

from separations.report.svg_elements import element, svg_of, written
from separations.uses.board_drawings.board_lines import (
    CENTRE,
    HOLES,
    PRINTED,
    REGISTER,
    SAFE,
    TRIM,
    BoardLines,
    DrawnLayer,
    Points,
)

_MARGIN_MM = 30.0
_STYLES = {TRIM: {"stroke": "#000"}, PRINTED: {"stroke": "#b3261e", "stroke_dasharray": "6 3"},
           SAFE: {"stroke": "#2e7d32", "stroke_dasharray": "1.5 2"},
           REGISTER: {"stroke": "#1a4fa0"},
           CENTRE: {"stroke": "#888", "stroke_dasharray": "12 3 2 3"},
           HOLES: {"stroke": "#6a3d9a"}}


def svg_drawing(lines: BoardLines) -> bytes:
    """The drawing as SVG in UTF-8; the same bytes for the same board.

    Parameters
    ----------
    lines : BoardLines
        The board; its nose lies to the right, its +y side up.
    """
    half_x = lines.length_mm / 2 + _MARGIN_MM
    half_y = lines.width_mm / 2 + _MARGIN_MM
    notes_high = 6.0 * (2 + len(lines.dimensions))
    width, height = 2 * half_x, 2 * half_y + notes_high
    heads = (f"{lines.title}: {lines.board}, {lines.date}; {lines.told}", *lines.dimensions)
    words = [_text(-lines.length_mm / 2, half_y + 6.0 * row, line)
             for row, line in enumerate(heads)]
    words += [_text(lines.length_mm / 2 + 4.0, -4.0, "NOSE"),
              _text(-half_x + 4.0, -4.0, "TAIL")]
    drawing = svg_of(
        f"{_n(-half_x)} {_n(-half_y)} {_n(width)} {_n(height)}",
        element("title", f"{lines.title}: {lines.board}"),
        *(_group(layer) for layer in lines.layers_with_holes),
        element("g", *words, id="notes", font_family="sans-serif", font_size=5, fill="#333"),
        width=f"{_n(width)}mm", height=f"{_n(height)}mm")
    indent(drawing, " ")
    return f"{written(drawing)}\n".encode()


def _group(layer: DrawnLayer) -> Element:
    return element(
        "g", element("title", layer.name),
        *(element("path", d=_ring(ring)) for ring in layer.rings),
        *(element("path", d=f"M{_n(x0)} {_n(-y0)}L{_n(x1)} {_n(-y1)}")
          for (x0, y0), (x1, y1) in (line.tolist() for line in layer.lines)),
        *(element("circle", cx=_n(c.x_mm), cy=_n(-c.y_mm), r=_n(c.radius_mm))
          for c in layer.circles),
        id=layer.ident, fill="none", stroke_width=0.25, **_STYLES[layer.name])


def _ring(ring: Points) -> str:
    return "M" + "L".join(f"{_n(x)} {_n(-y)}" for x, y in ring.tolist()) + "Z"


def _text(x: float, y: float, text: str) -> Element:
    return element("text", text, x=_n(x), y=_n(y))


def _n(value: float) -> str:
    """A figure to a ten-thousandth of a millimetre, without a tail of zeros."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
