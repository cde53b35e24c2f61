"""The template's two files: one long page, and A4 sheets to be taped together."""

from __future__ import annotations

import io

import numpy as np
from reportlab.pdfgen.canvas import Canvas
from shapely.geometry import Point, Polygon, box

from preflight.units import POINTS_PER_MM
from separations.films.wrapped_text import BOLD_FONT, PLAIN_FONT, register_fonts
from separations.uses.board_drawings.board_lines import PRINTED, REGISTER, SAFE, TRIM, BoardLines
from separations.uses.board_drawings.free_place import free_place
from separations.uses.board_drawings.template_drawing import (
    FINE,
    RULE_MM,
    Frame,
    Pen,
    draw_lines,
    draw_rule,
    take,
    write,
)
from separations.uses.board_drawings.template_tiles import (
    FOOT_MARGIN_MM,
    SHEET_MM,
    SIDE_MARGIN_MM,
    Tiling,
    Window,
    tiling_over,
)

_PAGE_MARGIN_MM = 12.0
_JOIN_ARM_MM = 5.0
_HOW = ("Print at 100 % (actual size), never fitted to the page.",
        "Lay a steel rule on the rules marked 100 mm, along and across, on every sheet.")


def long_page(lines: BoardLines) -> bytes:
    """The template as one page, 1:1, the same bytes for the same board."""
    x_mm, y_mm = _reach(lines)
    page = (2 * (x_mm + _PAGE_MARGIN_MM), 2 * (y_mm + _PAGE_MARGIN_MM))
    stream, canvas = _canvas(lines, page)
    frame = Frame(page[0] / 2, page[1] / 2)
    draw_lines(canvas, lines, frame)
    take(canvas, FINE)
    half, across = lines.length_mm / 2, lines.width_mm
    wide = 0.28 * lines.length_mm
    step = _block_pt(lines) / POINTS_PER_MM * 1.35
    x_mm, y_mm = free_place(
        [Polygon(lines.layer(name).rings[0]) for name in (SAFE, TRIM) if lines.layer(name).rings],
        _taken(lines),
        (-0.3 * lines.length_mm, across * 0.25 + step), (wide, (len(_told(lines)) + 2) * step))
    _write_block(canvas, lines, page[0] / 2 + x_mm, page[1] / 2 + y_mm - step, wide)
    pt = min(14.0, across * 0.1)
    write(canvas, page[0] / 2 + half - 40.0 - pt, page[1] / 2 + 3.0, "NOSE", pt=pt, font=BOLD_FONT)
    write(canvas, page[0] / 2 - half + 25.0, page[1] / 2 + 3.0, "TAIL", pt=pt, font=BOLD_FONT)
    draw_rule(canvas, page[0] / 2 - RULE_MM - 25.0, page[1] / 2 - across * 0.2)
    fits = int(across * 0.7) // 50 * 50
    rule = max(50 if across > 60 else 10, min(RULE_MM, fits))
    draw_rule(canvas, page[0] / 2 + 30.0, page[1] / 2 - rule / 2, upright=True, length_mm=rule)
    canvas.showPage()
    canvas.save()
    return stream.getvalue()


def tiled_pages(lines: BoardLines) -> bytes:
    """The template on A4 sheets with an overview first, the same bytes for the same board."""
    shown = np.concatenate([*lines.layer(PRINTED).rings, *lines.layer(TRIM).rings])
    tiling = tiling_over((*shown.min(axis=0).tolist(), *shown.max(axis=0).tolist()))
    stream, canvas = _canvas(lines, SHEET_MM)
    _overview(canvas, lines, tiling)
    canvas.showPage()
    for number, window in enumerate(tiling.windows, 1):
        _sheet(canvas, lines, tiling, window, number)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def _canvas(lines: BoardLines, page_mm: tuple[float, float]) -> tuple[io.BytesIO, Canvas]:
    register_fonts()
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=tuple(side * POINTS_PER_MM for side in page_mm), invariant=1,
                    pageCompression=1, initialFontName=PLAIN_FONT)
    canvas.setTitle(f"{lines.title}: template of {lines.board}")
    canvas.setCreator("topsheet")
    canvas.setAuthor("topsheet")
    canvas.setViewerPreference("PrintScaling", "None")
    return stream, canvas


def _reach(lines: BoardLines) -> tuple[float, float]:
    """How far the drawing reaches from the board's origin along and across (mm)."""
    marks = lines.layer(REGISTER).lines
    rings = lines.layer(TRIM).rings + lines.layer(PRINTED).rings
    along, across = (max(float(abs(points[:, axis]).max()) for points in (*marks, *rings))
                     for axis in (0, 1))
    return along, across


def _block_pt(lines: BoardLines) -> float:
    return min(12.0, lines.width_mm * 0.045)


def _taken(lines: BoardLines) -> list[Polygon]:
    """What words must keep off: rings within the board, holes, and the rules' places."""
    across = lines.width_mm
    rings = [Polygon(ring) for name in (TRIM, PRINTED) for ring in lines.layer(name).rings[1:]]
    holes = [Point(hole.x_mm, hole.y_mm).buffer(hole.radius_mm) for hole in lines.holes]
    half = lines.length_mm / 2
    return [*rings, *holes, box(-half, -0.5, half, 0.5), box(-0.5, -across, 0.5, across),
            box(-RULE_MM - 25.0, -across * 0.2, -15.0, -across * 0.2 + 4.0),
            box(28.0, -across * 0.4, 36.0, across * 0.4)]


def _write_block(canvas: Canvas, lines: BoardLines, x_mm: float, top_mm: float, width_mm: float
                 ) -> None:
    """Title and figures, from a place of the page downwards."""
    pt = _block_pt(lines)
    step = pt / POINTS_PER_MM * 1.35
    write(canvas, x_mm, top_mm, f"{lines.title}: {lines.board}, {lines.date}", pt=pt * 1.2,
          font=BOLD_FONT, width_mm=width_mm)
    for row, text in enumerate(_told(lines), 1):
        write(canvas, x_mm, top_mm - row * step, text, pt=pt, width_mm=width_mm)


def _told(lines: BoardLines) -> tuple[str, ...]:
    clear = ("Dashed rings within: kept clear of ink, wider than the holes.",) \
        if len(lines.layer(PRINTED).rings) > 1 else ()
    if lines.holes:
        clear = (*clear, "Small unbroken circles: the holes of the inserts, at their own size.")
    return (lines.told[0].upper() + lines.told[1:] + ".", *lines.dimensions,
            "Black: trim. Dashed: printed area. Dotted: safe area.", *clear,
            "Crosses in circles: the films' register marks.")


def _overview(canvas: Canvas, lines: BoardLines, tiling: Tiling) -> None:
    """The first sheet: the board small, which sheet lies where, figures and what to do."""
    windows = tiling.windows
    least_x, least_y = windows[0].x_mm, windows[0].y_mm
    last = windows[-1]
    wide = last.x_mm + last.width_mm - least_x
    high = last.y_mm + last.height_mm - least_y
    scale = min((SHEET_MM[0] - 30.0) / wide, 95.0 / high)
    frame = Frame(SHEET_MM[0] / 2 - scale * (least_x + wide / 2),
                  SHEET_MM[1] - 14.0 - scale * (high + least_y), scale)
    take(canvas, Pen(0.7, 0.2))
    for number, w in enumerate(windows, 1):
        canvas.rect(*frame.pt(w.x_mm, w.y_mm), w.width_mm * scale * POINTS_PER_MM,
                    w.height_mm * scale * POINTS_PER_MM)
        x, y = frame.pt(w.x_mm + w.width_mm / 2, w.y_mm + w.height_mm / 2)
        write(canvas, x / POINTS_PER_MM - 2.0, y / POINTS_PER_MM + 1.5, str(number), pt=13.0,
              font=BOLD_FONT, grey=0.55)
    draw_lines(canvas, lines, frame, only=(TRIM,))
    top = SHEET_MM[1] - 24.0 - scale * high
    write(canvas, 15.0, top, f"{lines.title}: {lines.board}, {lines.date}", pt=13.0,
          font=BOLD_FONT, width_mm=SHEET_MM[0] - 30.0)
    count = len(windows)
    joining = ("It is all on one sheet.",) if count == 1 else (
        f"{count} sheets, {tiling.columns} along and {tiling.rows} across, from tail to nose. Lay "
        "each over its neighbour until the marks with the same number lie on each other, then "
        "tape.", "Measure the whole length before anything is cut by it.")
    for row, text in enumerate((*_told(lines), *_HOW, *joining), 1):
        write(canvas, 15.0, top - 5.0 * row, text, pt=8.5, width_mm=SHEET_MM[0] - 30.0)


def _sheet(canvas: Canvas, lines: BoardLines, tiling: Tiling, window: Window, number: int) -> None:
    """One sheet: its window of the board, the marks in it, and its foot."""
    frame = Frame(SIDE_MARGIN_MM - window.x_mm, FOOT_MARGIN_MM - window.y_mm)
    box = [side * POINTS_PER_MM for side in (SIDE_MARGIN_MM, FOOT_MARGIN_MM, window.width_mm,
                                             window.height_mm)]
    canvas.saveState()
    path = canvas.beginPath()
    path.rect(*box)
    canvas.clipPath(path, stroke=0, fill=0)
    draw_lines(canvas, lines, frame)
    for text, x, y in (("NOSE", lines.length_mm / 2 - 40.0, 5.0),
                       ("TAIL", -lines.length_mm / 2 + 25.0, 5.0)):
        write(canvas, frame.origin_x_mm + x, frame.origin_y_mm + y, text, pt=12.0, font=BOLD_FONT)
    for join in tiling.joins:
        if window.holds(join.x_mm, join.y_mm):
            _draw_join(canvas, frame, join.number, join.x_mm, join.y_mm)
    canvas.restoreState()
    take(canvas, Pen(0.75, 0.1))
    canvas.rect(*box)
    draw_rule(canvas, SIDE_MARGIN_MM, 14.0)
    write(canvas, SIDE_MARGIN_MM + RULE_MM + 18.0, 14.5,
          f"Sheet {number} of {len(tiling.windows)}: {window.column + 1} from the tail, "
          f"{window.row + 1} from below. {lines.title}: {lines.board}", pt=8.0,
          width_mm=SHEET_MM[0] - 2 * SIDE_MARGIN_MM - RULE_MM - 18.0)
    draw_rule(canvas, 8.0, FOOT_MARGIN_MM + 30.0, upright=True)


def _draw_join(canvas: Canvas, frame: Frame, number: int, x_mm: float, y_mm: float) -> None:
    """A cross in a diamond, numbered."""
    take(canvas, FINE)
    arm, inner = _JOIN_ARM_MM, _JOIN_ARM_MM / 2
    canvas.line(*frame.pt(x_mm - arm, y_mm), *frame.pt(x_mm + arm, y_mm))
    canvas.line(*frame.pt(x_mm, y_mm - arm), *frame.pt(x_mm, y_mm + arm))
    path = canvas.beginPath()
    path.moveTo(*frame.pt(x_mm - inner, y_mm))
    for dx, dy in ((0.0, inner), (inner, 0.0), (0.0, -inner)):
        path.lineTo(*frame.pt(x_mm + dx, y_mm + dy))
    path.close()
    canvas.drawPath(path)
    x, y = frame.pt(x_mm + 1.2, y_mm + 2.4)
    write(canvas, x / POINTS_PER_MM, y / POINTS_PER_MM, str(number), pt=8.0)
