"""The press day on one page to hang beside the table."""

from __future__ import annotations

import io
from collections.abc import Sequence
from string import ascii_lowercase
from xml.sax.saxutils import escape

from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import Flowable, Paragraph, SimpleDocTemplate, Spacer, Table

from preflight.nouns import counted
from preflight.vector_art.lettering import SHIPPED_BOLD, SHIPPED_FONT
from separations.films.document_facts import DocumentFacts
from separations.ink_need.ink_estimate import Range
from separations.report.cautions import DEFER, cautions_for
from separations.report.exposure_words import exposures_told
from separations.report.sheet_dressing import dated
from separations.uses.press_day.day_plan import DayPlan, Step
from separations.uses.press_day.drying import range_told
from separations.uses.press_day.screens import ScreenUse

_FONT, _BOLD = "DayText", "DayBold"
_TEXT = ParagraphStyle("text", fontName=_FONT, fontSize=8.6, leading=11)
_SMALL = ParagraphStyle("small", parent=_TEXT, fontSize=7.4, leading=9)
_CELL_HEAD = ParagraphStyle("cellhead", parent=_SMALL, fontName=_BOLD)
_LEAST = ParagraphStyle("least", parent=_TEXT, fontSize=6.4, leading=7.7)
_HEAD = ParagraphStyle("head", fontName=_BOLD, fontSize=11, leading=14, spaceBefore=7,
                       spaceAfter=3, keepWithNext=1)
_TITLE = ParagraphStyle("title", fontName=_BOLD, fontSize=16, leading=20)
_WIDTH = A4[0] - 30 * mm
#: More screens that are reclaimed than this are told in one paragraph.
_MOST_LINES = 4


def day_pdf(plan: DayPlan) -> bytes:
    """The page as a PDF, A4, the same bytes for the same jobs."""
    pdfmetrics.registerFont(TTFont(_FONT, str(SHIPPED_FONT)))
    pdfmetrics.registerFont(TTFont(_BOLD, str(SHIPPED_BOLD)))
    stream = io.BytesIO()
    title = f"Press day: {', '.join(side.job.title for side in plan.sides)}"
    SimpleDocTemplate(
        stream, pagesize=A4, leftMargin=15 * mm, rightMargin=15 * mm, topMargin=11 * mm,
        bottomMargin=11 * mm, invariant=1, title=title, author="topsheet", creator="topsheet",
    ).build([*_heading(plan), *_screens(plan), *_order(plan), *_notes(plan), *_cautions(plan)])
    return dated(stream.getvalue(), DocumentFacts(
        title=title, date=plan.sides[0].job.date.isoformat()))


def _heading(plan: DayPlan) -> list[Flowable]:
    where = "flat sheets, before pressing" if plan.stage == "sheet" else "pressed boards"
    least, most = plan.waiting_min
    lines = [f"{side.job.board.name}, {side.job.side} side: {side.job.title}; "
             f"{side.job.boards} to print; {side.job.date.isoformat()}; revision {side.revision}"
             for side in plan.sides]
    return [Paragraph("Press day", _TITLE), *(Paragraph(escape(line), _TEXT) for line in lines),
            Paragraph(escape(f"{counted(len(plan.hits), 'hit')} on {where}; waiting time in all, "
                             f"printing not counted: {range_told(least, most)}."),
                      _TEXT), Spacer(1, 2 * mm)]


def _screens(plan: DayPlan) -> list[Flowable]:
    hits = {hit.hit: hit for hit in plan.hits}
    at_once = [use for use in plan.screens if not use.reclaimed_after]
    later = [use for use in plan.screens if use.reclaimed_after]
    lines = ["Expose before the first hit: " + "; ".join(
        f"screen {use.frame} ({_told(hits[use.hit])}, mesh {hits[use.hit].mesh})"
        for use in at_once) + "."]
    reclaimed = [_reclaimed(use, hits) for use in later]
    lines += reclaimed if len(reclaimed) <= _MOST_LINES else [" ".join(reclaimed)]
    lines += dict.fromkeys(told for side in plan.sides for told in exposures_told(side.job))
    return [Paragraph("Screens", _HEAD), *(Paragraph("• " + escape(line), _TEXT)
                                           for line in lines)]


def _told(hit: Step) -> str:
    return f"hit {hit.hit}, {hit.ink}, {hit.side}"


def _grams(grams: Range) -> str:
    return f"{grams.likely:.0f} g ({grams.low:.0f} to {grams.high:.0f})"


def _reclaimed(use: ScreenUse, hits: dict[int, Step]) -> str:
    cloth = (f"stretch it with {hits[use.hit].mesh}, or use another frame, and expose it"
             if use.new_cloth else "dry and expose it")
    return (f"After hit {use.reclaimed_after} reclaim screen {use.frame}; {cloth} for "
            f"{_told(hits[use.hit])}.")


def _order(plan: DayPlan) -> list[Flowable]:
    frames = {use.hit: use.frame for use in plan.screens}
    sources = [str(step.source if step.after is None else step.after.source)
               for step in plan.steps]
    letters = dict(zip(dict.fromkeys(sources), ascii_lowercase, strict=False))
    rows: list[Sequence[str]] = [("No.", "Step", "Screen", "Ink for the run, g", "Then wait",
                                  "Until", "Basis")]
    for number, (step, source) in enumerate(zip(plan.steps, sources, strict=True), 1):
        told = step.told + (f" ({step.side} side, hit {step.hit})" if step.hit else "")
        grams = "" if step.run_g is None else _grams(step.run_g).replace(" g (", " (")
        rows.append((str(number), told, str(frames.get(step.hit, "")), grams,
                     "" if step.after is None else step.after.told,
                     "" if step.after is None else step.waits_to,
                     letters.get(source, source)))
    basis = "; ".join(f"{letter}: {source}" for source, letter in letters.items())
    inks = "; ".join(f"{one.ink} {_grams(one.run_g)}" for one in plan.inks)
    total = f"Ink for the day: {inks}; all inks {_grams(plan.ink_g)}."
    return [Paragraph("Order", _HEAD), _grid(rows, (8, 56, 14, 32, 23, 43, 10)),
            Spacer(1, 1 * mm), Paragraph(escape(total), _SMALL),
            Paragraph(escape(f"Basis of steps and waits: {basis}."), _SMALL)]


def _notes(plan: DayPlan) -> list[Flowable]:
    if not plan.notes:
        return []
    return [Paragraph("Notes", _HEAD), *(Paragraph("• " + escape(note), _TEXT)
                                        for note in plan.notes)]


def _cautions(plan: DayPlan) -> list[Flowable]:
    told = [Paragraph(f'<font name="{_BOLD}">{escape(c.hazard)}.</font> {escape(c.keep_in_mind)}',
                      _LEAST) for c in cautions_for(plan.stage)]
    rows = [[*told[k:k + 3], "", ""][:3] for k in range(0, len(told), 3)]
    return [Paragraph("Cautions", _HEAD), Paragraph(escape(DEFER), _SMALL), Table(
        rows, colWidths=[_WIDTH / 3] * 3, hAlign="LEFT", style=[
            ("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 8), ("TOPPADDING", (0, 0), (-1, -1), 2),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 0)])]


def _grid(rows: Sequence[Sequence[str]], widths_mm: Sequence[float]) -> Table:
    scale = _WIDTH / sum(widths_mm)
    cells = [[Paragraph(escape(text), _CELL_HEAD if number == 0 else _SMALL) for text in row]
             for number, row in enumerate(rows)]
    return Table(cells, colWidths=[width * scale for width in widths_mm], repeatRows=1,
                 hAlign="LEFT", style=[("LINEBELOW", (0, 0), (-1, 0), 0.9, "black"),
                                       ("LINEBELOW", (0, 1), (-1, -1), 0.25, "black"),
                                       ("VALIGN", (0, 0), (-1, -1), "TOP"),
                                       ("LEFTPADDING", (0, 0), (-1, -1), 2),
                                       ("RIGHTPADDING", (0, 0), (-1, -1), 2),
                                       ("TOPPADDING", (0, 0), (-1, -1), 2),
                                       ("BOTTOMPADDING", (0, 0), (-1, -1), 2)])
