"""The operator's sheet: what to hang, in which order, with which ink, on one page if it can be."""

from __future__ import annotations

import io
from collections.abc import Sequence
from xml.sax.saxutils import escape

from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import Flowable, KeepTogether, Paragraph, SimpleDocTemplate, Spacer, Table
from shapely import get_parts

from preflight.findings import Finding, Grade, by_grade, count_stops
from preflight.job_file.job import Job
from preflight.nouns import counted
from preflight.press.halftone_spec import halftone_told
from preflight.vector_art.lettering import SHIPPED_BOLD, SHIPPED_FONT
from separations.films.document_facts import DocumentFacts
from separations.ink_need.ink_estimate import Range
from separations.ink_need.ink_table import TIN_G, ink_total, tins_for
from separations.report.cautions import DEFER, cautions_for
from separations.report.exposure_words import exposures_told
from separations.report.film_words import files_told, how_to_lay, panels_told, rules_told, size_told
from separations.report.outcome import Outcome
from separations.report.sheet_dressing import board_picture, dated

_FONT, _BOLD = "SheetText", "SheetBold"
_TEXT = ParagraphStyle("text", fontName=_FONT, fontSize=8.2, leading=10.6)
_SMALL = ParagraphStyle("small", parent=_TEXT, fontSize=7.2, leading=8.8)
_LEAST = ParagraphStyle("least", parent=_TEXT, fontSize=6.4, leading=7.7)
_HEAD = ParagraphStyle("head", fontName=_BOLD, fontSize=11, leading=14, spaceBefore=7,
                       spaceAfter=3, keepWithNext=1)
_TITLE = ParagraphStyle("title", fontName=_BOLD, fontSize=16, leading=20)
_COLOURS = {Grade.STOP: "#9d1c1c", Grade.CARE: "#7a4f00"}
_RED = ParagraphStyle("red", parent=_TEXT, fontName=_BOLD, textColor=_COLOURS[Grade.STOP])
_PAGE_WIDTH = A4[0] - 30 * mm
#: How much of the page's width the drawing takes below the picture.
_DRAWN_SHARE = 0.62
#: Greatest height of the picture: with that the usual sheet is one page.
_MOST_HEIGHT = 45 * mm


def operator_pdf(outcome: Outcome, board: bytes) -> bytes:
    """The sheet as a PDF, A4, the same bytes for the same job.

    Parameters
    ----------
    outcome : Outcome
        What was made and measured.
    board : bytes
        A picture (PNG or JPEG) of the printed board, nose to the right.
    """
    pdfmetrics.registerFont(TTFont(_FONT, str(SHIPPED_FONT)))  # has the Greek of a ΔE00
    pdfmetrics.registerFont(TTFont(_BOLD, str(SHIPPED_BOLD)))
    job = outcome.submission.job
    stream = io.BytesIO()
    document = SimpleDocTemplate(
        stream, pagesize=A4, leftMargin=15 * mm, rightMargin=15 * mm, topMargin=11 * mm,
        bottomMargin=11 * mm, invariant=1, title=f"{job.title}: operator's sheet",
        author="topsheet", creator="topsheet")
    document.build([
        *_heading(outcome), board_picture(board, _PAGE_WIDTH, _MOST_HEIGHT), Spacer(1, 2 * mm),
        BoardDrawing(outcome), *_print_order(outcome), *_settings(outcome),
        *_mind(outcome), *_ink(outcome), *_cautions(outcome)])
    return dated(stream.getvalue(), DocumentFacts(
        title=f"{job.title}: operator's sheet", date=job.date.isoformat()))


class BoardDrawing(Flowable):  # type: ignore[misc]
    """The board, its trim and bleed, nose to the right, with the films' centre lines."""

    def __init__(self, outcome: Outcome) -> None:
        super().__init__()
        self._outcome = outcome
        least_x, least_y, greatest_x, greatest_y = outcome.submission.area.image_bounds
        self._scale = _DRAWN_SHARE * min(_PAGE_WIDTH / (greatest_x - least_x + 40),
                                         _MOST_HEIGHT / (greatest_y - least_y + 24))
        self.width = _PAGE_WIDTH
        self.height = (greatest_y - least_y + 24) * self._scale

    def draw(self) -> None:
        """Draw on the sheet's canvas (called by the page builder)."""
        canvas = self.canv
        submission = self._outcome.submission
        canvas.saveState()
        canvas.translate(self.width / 2, self.height / 2)
        canvas.setLineWidth(0.4)
        for part in get_parts(submission.area.printed):
            for ring in (part.exterior, *part.interiors):
                self._ring(ring.coords, dash=(2, 1.5))
        for pack in submission.fittings.inserts:
            for x, y in pack.holes_mm:
                canvas.circle(x * self._scale, y * self._scale, pack.hole_mm / 2 * self._scale)
        canvas.setLineWidth(0.9)
        parts = get_parts(submission.area.trim)
        for part in parts:
            self._ring(part.exterior.coords)
        half = submission.outline.length_mm / 2 * self._scale
        canvas.setLineWidth(0.25)
        canvas.setDash(6, 2)
        canvas.line(-half - 8, 0, half + 8, 0)
        canvas.line(0, -self.height / 2 + 4, 0, self.height / 2 - 4)
        canvas.setDash()
        canvas.setFont(_BOLD, 7.5)
        if self._outcome.printed == "board":
            canvas.drawCentredString(half - 24, 4, "NOSE")
            canvas.drawCentredString(-half + 24, 4, "TAIL")
        else:
            for number, part in enumerate(parts, 1):
                x, y = (v * self._scale for v in part.centroid.coords[0])
                canvas.drawCentredString(x, y + 3, str(number))
        canvas.setFont(_FONT, 6.5)
        canvas.drawCentredString(0, -self.height / 2 - 2, "solid: trim   dashed: printed area")
        canvas.restoreState()

    def _ring(self, points: Sequence[tuple[float, float]], dash: tuple[float, ...] = ()) -> None:
        path = self.canv.beginPath()
        for number, (x, y, *_) in enumerate(points):
            (path.lineTo if number else path.moveTo)(x * self._scale, y * self._scale)
        path.close()
        self.canv.setDash(list(dash))
        self.canv.drawPath(path)
        self.canv.setDash()


def _heading(outcome: Outcome) -> list[Flowable]:
    job, outline = outcome.submission.job, outcome.submission.outline
    where = "the flat sheet, before pressing" if job.stage == "sheet" else "the pressed board"
    what, count = ((f"{job.board.name}, {job.side} side", f"{job.boards} to print")
                   if outcome.printed == "board" else
                   (job.board.name, counted(job.boards, "pull")))
    return [
        Paragraph(escape(job.title), _TITLE),
        Paragraph(escape(f"{what}, {outline.length_mm:.0f} × "
                         f"{outline.width_mm:.0f} mm, printed on {where}; {count}; "
                         f"{job.date.isoformat()}; revision {outcome.revision}"),
                  _TEXT),
        Spacer(1, 3 * mm)]


def _print_order(outcome: Outcome) -> list[Flowable]:
    job = outcome.submission.job
    made = {film.ink.name: film for film in outcome.films}
    rows = [("No.", "Ink", "Mesh / thread", "Mesh angle", "Halftone", "Tone range", "Film",
             "Mean tone", "Done")]
    for number, ink in enumerate(job.ink, 1):
        table, film = ink.mesh or job.mesh, made.get(ink.name)
        rows.append((
            str(number), ink.name, f"{table.count.written} / {table.thread.written}",
            f"{table.angle.deg:g}°", "line work, not screened" if not job.has_dots(ink) else
            halftone_told(job.halftone_of(ink), job.ruling_of(ink).written),
            "–" if not (job.has_dots(ink) and job.halftone_of(ink).is_periodic) else
            f"{job.halftone_of(ink).smallest_tone * 100:.1f} to "
            f"{job.halftone_of(ink).largest_tone * 100:.1f} %",
            files_told(film) if film else "not made",
            f"{film.mean_tone * 100:.1f} %" if film else "–", "[    ]"))
    return [Paragraph("Print order", _HEAD), _grid(rows, (8, 22, 28, 14, 42, 23, 34, 14, 12))]


def _settings(outcome: Outcome) -> list[Flowable]:
    job = outcome.submission.job
    least_x, least_y, greatest_x, greatest_y = outcome.submission.area.image_bounds
    length, width = greatest_x - least_x, greatest_y - least_y
    lines = (
        f"Films are {size_told(outcome.submission)}; nose up. {how_to_lay(job)}",
        *filter(None, [panels_told(outcome)]),
        f"Check each film before exposing: {rules_told(outcome.submission)}; all films "
        "fall on each other at the registration marks at both ends.",
        f"Image {length:.0f} × {width:.0f} mm; frame inside {job.frame.inside_length.mm:.0f} × "
        f"{job.frame.inside_width.mm:.0f} mm.",
        _marks_told(job), *exposures_told(job),
        f"Off-contact {job.frame.off_contact.written} (1.6 to 3.2 mm is usual) and mesh tension of "
        "at least 20 N/cm, both the same on all screens (common practice, no source).",
    )
    return [Paragraph("Set up", _HEAD), *(Paragraph("• " + escape(t), _TEXT) for t in lines)]


def _marks_told(job: Job) -> str:
    """What becomes of marks and wedge, which lie outside the printed area."""
    wedge = ("the smallest step that holds and the largest that stays open show whether mesh and "
             "exposure are right.")
    if job.stage == "sheet":
        return f"The tone wedge outside the bleed prints with every hit: {wedge}"
    return ("Marks, rules, label and wedge lie beside the board: on a trimmed board there is "
            "nothing under them. Register on the table with a sheet laid beneath the board, then "
            f"tape them over on the screen. On a proof sheet look at the wedge: {wedge}")


def _mind(outcome: Outcome) -> list[Flowable]:
    told = [*by_grade(outcome.findings, Grade.STOP), *by_grade(outcome.findings, Grade.CARE)]
    if not told:
        return []
    stops = count_stops(outcome.findings)
    forced = stops and outcome.films
    words = f"These films were made despite the {'stop' if stops == 1 else 'stops'} below."
    return [Paragraph("Before exposing", _HEAD), *(
        [Paragraph(words, _RED)] if forced else []), *(
        Paragraph(f'<font name="{_BOLD}" color="{_COLOURS[f.grade]}">'
                  f"{f.grade.value.upper()}</font> "
                  + escape(f"{f.check}, {f.subject}: {f.says}{_where(f)} {f.mend}"), _TEXT)
        for f in told)]


def _where(finding: Finding) -> str:
    return "" if finding.place is None else f" Where: {finding.place}."


def _ink(outcome: Outcome) -> list[Flowable]:
    if not outcome.estimates:
        return []
    rows: list[tuple[str, ...]] = [
        ("Ink", f"One {outcome.printed}, g", "Run, g", "Run, low to high, g", "Run, ml",
         f"Tins of {TIN_G:.0f} g")]
    rows.extend(_need(e.ink, e.board_g, e.run_g, e.run_ml, tins_for(e)) for e in outcome.estimates)
    total = ink_total(outcome.estimates)
    rows.append(_need("All inks", total.board_g, total.run_g, total.run_ml, total.tins))
    told = [Paragraph("• " + escape(f"{word}."), _TEXT)
            for order in outcome.orders for word in order.words]
    if outcome.orders and not told:
        told = [Paragraph("• The stock list has enough of every ink.", _TEXT)]
    return [Paragraph("Ink for the run", _HEAD),
            _grid(rows, (40, 26, 26, 40, 26, 24), total=True), Paragraph("• " + escape(
                f"Of the run's {total.run_ml.likely:.0f} ml, {total.left_ml.likely:.0f} ml stays "
                f"in {counted(len(outcome.estimates), 'screen')} and on tools."), _TEXT), *told]


def _need(name: str, board_g: Range, run_g: Range, run_ml: Range, tins: int) -> tuple[str, ...]:
    return (name, f"{board_g.likely:.1f}", f"{run_g.likely:.0f}",
            f"{run_g.low:.0f} to {run_g.high:.0f}", f"{run_ml.likely:.0f}", str(tins))


def _cautions(outcome: Outcome) -> list[Flowable]:
    told = [Paragraph(f'<font name="{_BOLD}">{escape(c.hazard)}.</font> {escape(c.keep_in_mind)}',
                      _LEAST) for c in cautions_for(outcome.submission.job.stage)]
    rows = [[*told[k:k + 3], "", ""][:3] for k in range(0, len(told), 3)]
    return [KeepTogether([Paragraph("Cautions", _HEAD), Paragraph(escape(DEFER), _SMALL), Table(
        rows, colWidths=[_PAGE_WIDTH / 3] * 3, hAlign="LEFT", style=[
            ("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 8), ("TOPPADDING", (0, 0), (-1, -1), 2),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 0)])])]


def _grid(rows: Sequence[Sequence[str]], widths_mm: Sequence[float], *,
          total: bool = False) -> Table:
    scale = _PAGE_WIDTH / sum(widths_mm)
    head = ParagraphStyle("cellhead", parent=_SMALL, fontName=_BOLD)
    strong = {0, len(rows) - 1} if total else {0}
    cells = [[Paragraph(escape(text), head if n in strong else _SMALL) for text in row]
             for n, row in enumerate(rows)]
    return Table(cells, colWidths=[w * scale for w in widths_mm], repeatRows=1, hAlign="LEFT",
                 style=[("LINEBELOW", (0, 0), (-1, 0), 0.9, "black"),
                        ("LINEBELOW", (0, 1), (-1, -1), 0.25, "black"),
                        ("LINEABOVE", (0, -1), (-1, -1), 0.9 if total else 0.25, "black"),
                        ("VALIGN", (0, 0), (-1, -1), "TOP"),
                        ("LEFTPADDING", (0, 0), (-1, -1), 2), ("RIGHTPADDING", (0, 0), (-1, -1), 2),
                        ("TOPPADDING", (0, 0), (-1, -1), 2),
                        ("BOTTOMPADDING", (0, 0), (-1, -1), 2)])

