"""The label of a film: what the operator must know, shortened to what fits, safe to print."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from preflight.halftone_spec import HalftoneSpec, halftone_told
from preflight.vector_art.lettering import SHIPPED_FONT
from separations.films.film_sheet import Reading

#: Free fonts that come with reportlab; embedded as subsets.
PLAIN_FONT = "Vera"
BOLD_FONT = "VeraBd"
#: The package's own, for what those two cannot show.
WIDE_FONT = "DejaVuSans"
#: No line of a film's label is smaller (points). Own choice, no source.
SMALLEST_PT = 8.0
_READINGS: dict[Reading, str] = {
    "right-reading": "right-reading, emulsion up",
    "mirrored": "MIRRORED: wrong-reading, emulsion up; prints a mirror image",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmLabel:
    """What a film's label says; texts as the user wrote them.

    Attributes
    ----------
    job, board, ink, mesh, ruling : str
        Job title, board name, ink name, mesh (such as ``120-34``), ruling (such as ``45 lpi``).
    film_number, film_count : int
        Place in print order from 1, and how many films the job has.
    date : str
        The job's date.
    scale : str
        Scale of the film against the board.
    screened : bool
        Whether the film carries a halftone; else line work only.
    panel : str
        Which panel of the film this is, where it has several.
    further : tuple of str
        Further lines: size of the film against the print, which panel this is, pieces.
    """

    job: str
    board: str
    ink: str
    mesh: str
    ruling: str
    film_number: int
    film_count: int
    date: str
    scale: str = "1:1"
    screened: bool = True
    panel: str = ""
    further: tuple[str, ...] = ()


class LabelLine(NamedTuple):
    """One line of the label, its font and size in points."""

    text: str
    font: str
    size_pt: float


def label_lines(label: FilmLabel, spec: HalftoneSpec, reading: Reading,
                width_pt: float) -> tuple[LabelLine, ...]:
    """The label's lines, top to bottom, each set smaller or shortened to ``width_pt`` points."""
    number = f"{label.film_number} of {label.film_count}"
    head = (f"{label.ink}, {label.panel} (film {number})" if label.panel
            else f"Film {number} (print order): {label.ink}")
    told = halftone_told(spec, label.ruling) if label.screened else "line work, not screened"
    halftone = f"mesh {label.mesh} · {told} · {spec.film_dpi:g} dpi · scale {label.scale}"
    lines = (
        LabelLine(head, BOLD_FONT, 15.0),
        LabelLine(f"{label.job} · {label.board}", PLAIN_FONT, 11.0),
        LabelLine(halftone, PLAIN_FONT, 10.0),
        LabelLine(f"{_READINGS[reading]} · {label.date}", PLAIN_FONT, 10.0),
        *(LabelLine(line, BOLD_FONT, 10.0) for line in label.further))
    fitting = [line._replace(font=font_for(line.text, line.font)) for line in lines]
    fitted = (_smaller(line, width_pt) for line in fitting)
    return tuple(line._replace(text=shortened(line, width_pt)) for line in fitted)


def font_for(text: str, font: str) -> str:
    """The font, or the wide one where that shows more of the text."""
    shown = {name: sum(ord(c) in _glyphs(name) for c in text) for name in (font, WIDE_FONT)}
    return WIDE_FONT if shown[WIDE_FONT] > shown[font] else font


def _smaller(line: LabelLine, width_pt: float) -> LabelLine:
    """The line as large as it fits, but no smaller than can be read on a light table."""
    register_fonts()
    wide = pdfmetrics.stringWidth(printable(line.text, line.font), line.font, line.size_pt)
    if wide <= width_pt:
        return line
    size_pt = math.floor(line.size_pt * width_pt / wide * 10) / 10
    return line._replace(size_pt=max(SMALLEST_PT, size_pt))


def shortened(line: LabelLine, width_pt: float) -> str:
    """The line's text with its end replaced by an ellipsis where it is too wide."""
    register_fonts()
    text = printable(line.text, line.font)
    if pdfmetrics.stringWidth(text, line.font, line.size_pt) <= width_pt:
        return text
    while text and pdfmetrics.stringWidth(text + "…", line.font, line.size_pt) > width_pt:
        text = text[:-1]
    return text.rstrip() + "…"


def printable(text: str, font: str) -> str:
    """The text on one line, with ``?`` for what the font cannot show."""
    glyphs = _glyphs(font)
    return "".join(c if ord(c) in glyphs and c.isprintable() else "?"
                   for c in " ".join(text.split()))


@lru_cache(maxsize=3)
def _glyphs(font: str) -> frozenset[int]:
    register_fonts()
    return frozenset(pdfmetrics.getFont(font).face.charToGlyph)


@lru_cache(maxsize=1)
def register_fonts() -> None:
    """Let reportlab know the fonts; once is enough."""
    for font in (PLAIN_FONT, BOLD_FONT):
        pdfmetrics.registerFont(TTFont(font, f"{font}.ttf"))
    pdfmetrics.registerFont(TTFont(WIDE_FONT, str(SHIPPED_FONT)))
