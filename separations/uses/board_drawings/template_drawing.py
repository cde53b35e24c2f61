"""Pens and words of the template: a board's lines on a PDF canvas, 1:1 or smaller."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from reportlab.pdfgen.canvas import Canvas

from preflight.units import POINTS_PER_MM
from separations.films.film_label import LabelLine, printable, shortened
from separations.films.wrapped_text import PLAIN_FONT, register_fonts
from separations.uses.board_drawings.board_lines import (
    CENTRE,
    PRINTED,
    REGISTER,
    SAFE,
    TRIM,
    BoardLines,
)

#: Only the trim is black, and the only thing that is drawn in one unbroken line.
TRIM_STROKE_MM = 0.25
RULE_MM = 100


class Pen(NamedTuple):
    """Grey (0 black), width and dashes of a line (mm)."""

    grey: float
    width_mm: float
    dash_mm: tuple[float, ...] = ()


PENS = {TRIM: Pen(0.0, TRIM_STROKE_MM), PRINTED: Pen(0.55, 0.2, (5.0, 2.5)),
        SAFE: Pen(0.55, 0.2, (1.0, 1.5)), REGISTER: Pen(0.55, 0.15),
        CENTRE: Pen(0.6, 0.12, (9.0, 2.0, 1.5, 2.0))}
#: A drilled hole: unbroken, but no trim.
HOLE = Pen(0.4, 0.2)
FINE = Pen(0.45, 0.15)


class Frame(NamedTuple):
    """Where a board lies on a page: page mm of the board's origin, and its scale."""

    origin_x_mm: float
    origin_y_mm: float
    scale: float = 1.0

    def pt(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """A place of the board in points of the page."""
        return ((self.origin_x_mm + self.scale * x_mm) * POINTS_PER_MM,
                (self.origin_y_mm + self.scale * y_mm) * POINTS_PER_MM)


def take(canvas: Canvas, pen: Pen) -> None:
    """Draw with a pen from here on."""
    canvas.setStrokeGray(pen.grey)
    canvas.setFillGray(pen.grey)
    canvas.setLineWidth(pen.width_mm * POINTS_PER_MM)
    canvas.setDash([length * POINTS_PER_MM for length in pen.dash_mm])


def draw_lines(canvas: Canvas, lines: BoardLines, frame: Frame,
               only: Iterable[str] | None = None) -> None:
    """Draw the board's layers, or some of them; the trim last, on top."""
    wanted = set(only) if only is not None else {layer.name for layer in lines.layers}
    canvas.setLineJoin(1)
    for layer in reversed(lines.layers):
        if layer.name not in wanted:
            continue
        take(canvas, PENS[layer.name])
        for ring in layer.rings:
            path = canvas.beginPath()
            for number, (x, y) in enumerate(ring.tolist()):
                (path.lineTo if number else path.moveTo)(*frame.pt(x, y))
            path.close()
            canvas.drawPath(path)
        for line in layer.lines:
            (x0, y0), (x1, y1) = line.tolist()
            canvas.line(*frame.pt(x0, y0), *frame.pt(x1, y1))
        for circle in layer.circles:
            canvas.circle(*frame.pt(circle.x_mm, circle.y_mm),
                          circle.radius_mm * frame.scale * POINTS_PER_MM)
    canvas.setDash()
    if only is None:
        take(canvas, HOLE)
        for hole in lines.holes:
            canvas.circle(*frame.pt(hole.x_mm, hole.y_mm),
                          hole.radius_mm * frame.scale * POINTS_PER_MM)


def write(canvas: Canvas, x_mm: float, y_mm: float, text: str, *, pt: float = 8.0,
          font: str = PLAIN_FONT, width_mm: float | None = None, grey: float = 0.35) -> None:
    """Write a line of text from a place of the page (mm), shortened where it must be."""
    register_fonts()
    shown = printable(text, font) if width_mm is None else \
        shortened(LabelLine(text, font, pt), width_mm * POINTS_PER_MM)
    canvas.setFillGray(grey)
    canvas.setFont(font, pt)
    canvas.drawString(x_mm * POINTS_PER_MM, y_mm * POINTS_PER_MM, shown)


def draw_rule(canvas: Canvas, x_mm: float, y_mm: float, *, upright: bool = False,
              length_mm: int = RULE_MM) -> None:
    """Draw a check rule from a place of the page (mm), with a tick at each centimetre."""
    take(canvas, FINE)

    def line(along0: float, across0: float, along1: float, across1: float) -> None:
        ends = ((across0, along0), (across1, along1)) if upright else \
            ((along0, across0), (along1, across1))
        (x0, y0), (x1, y1) = ends
        canvas.line(*(value * POINTS_PER_MM
                      for value in (x_mm + x0, y_mm + y0, x_mm + x1, y_mm + y1)))

    line(0.0, 0.0, length_mm, 0.0)
    for mm in range(0, length_mm + 1, 5):
        line(mm, 0.0, mm, 3.0 if mm % 50 == 0 else 2.0 if mm % 10 == 0 else 1.2)
    aside = (-2.0, length_mm + 1.5) if upright else (length_mm + 2.0, 0.0)
    write(canvas, x_mm + aside[0], y_mm + aside[1], f"{length_mm} mm", pt=6.0)
