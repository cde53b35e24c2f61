"""The label of a film: what the operator must know, on as many lines as it takes, safe to print."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from reportlab.pdfbase import pdfmetrics

from preflight.nouns import counted
from preflight.press.halftone_spec import HalftoneSpec, halftone_told
from preflight.units import MM_PER_INCH, POINTS_PER_INCH
from separations.films.film_sheet import FURTHER_LINE_MM, Reading
from separations.films.wrapped_text import (
    BOLD_FONT,
    PLAIN_FONT,
    WIDE_FONT,
    register_fonts,
    text_width_pt,
    wrapped,
)

#: No line of a film's label is smaller (points). Own choice, no source.
SMALLEST_PT = 8.0
#: Sizes of all lines below the head, the first that fits; each line takes so many times its size.
BODY_PT = (10.0, 9.0, SMALLEST_PT)
LEADING = 1.3
#: Lines that a sheet has room for anyway, at the largest size.
USUAL_LINES = 4
_HEAD_PT, _LEAST_HEAD_PT = 15.0, 11.0
#: Titles may be any length: so many lines and no more.
_MOST_HEAD_LINES, _MOST_TITLE_LINES = 5, 3
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
    despite_stops : int
        How many findings said stop when the film was made all the same.
    revision : str
        Eight letters that stand for the job and its art; empty where there are none.
    set_up : tuple of str
        Lines on how the film was made and is to be measured.
    counts : str
        What the films are numbered by.
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
    counts: str = "print order"
    panel: str = ""
    despite_stops: int = 0
    revision: str = ""
    set_up: tuple[str, ...] = ()
    further: tuple[str, ...] = ()

    @property
    def title(self) -> str:
        """What the file says of itself."""
        return f"{self.job}: {self.ink}" + (f", {self.panel}" if self.panel else "")

    @property
    def despite_told(self) -> str:
        """What follows the ink's name on a film that was made despite stops; else nothing."""
        return despite_words(self.despite_stops)


def despite_words(stops: int) -> str:
    """What follows a name on pages that were made despite so many stops; nothing where none."""
    return f" · MADE DESPITE {counted(stops, 'STOP', 'STOPS')}" if stops else ""


class LabelLine(NamedTuple):
    """One line of the label, its font and size in points."""

    text: str
    font: str
    size_pt: float


def label_lines(label: FilmLabel, spec: HalftoneSpec, reading: Reading, width_pt: float,
                height_pt: float = math.inf, *, sizes_pt: tuple[float, ...] = BODY_PT
                ) -> tuple[LabelLine, ...]:
    """The label's lines, top to bottom, wrapped to ``width_pt`` by ``height_pt`` points.

    All below the head are of one size, the first of ``sizes_pt`` at which they fit; where even
    the smallest does not, titles are shortened, and then the last lines left out: sheets are
    planned (`lines_beyond`) so that this does not come about.
    """
    number = f"{label.film_number} of {label.film_count}"
    head = (f"{label.ink}, {label.panel} (film {number})" if label.panel
            else f"Film {number} ({label.counts}): {label.ink}")
    head += label.despite_told
    told = halftone_told(spec, label.ruling) if label.screened else "line work, not screened"
    halftone = f"mesh {label.mesh} · {told} · {spec.film_dpi:g} dpi · scale {label.scale}"
    told_last = [_READINGS[reading], label.date]
    if label.revision:
        told_last.append(f"revision {label.revision}")
    texts = ((halftone, PLAIN_FONT), (" · ".join(told_last), PLAIN_FONT),
             *((line, PLAIN_FONT) for line in label.set_up),
             *((line, BOLD_FONT) for line in label.further))
    lines: tuple[LabelLine, ...] = ()
    for size_pt, titles in (*((size, 0) for size in sizes_pt), (SMALLEST_PT, 1)):
        title = _set(f"{label.job} · {label.board}", PLAIN_FONT, size_pt, width_pt,
                     titles or _MOST_TITLE_LINES)
        lines = (*_head(head, width_pt, titles or _MOST_HEAD_LINES), *title, *(
            line for text, font in texts for line in _set(text, font, size_pt, width_pt)))
        if label_height_pt(lines) <= height_pt:
            return lines
    while label_height_pt(lines) > height_pt:
        lines = lines[:-1]
    return lines


def label_height_pt(lines: tuple[LabelLine, ...]) -> float:
    """How much of the film's length lines take (points)."""
    return sum(line.size_pt for line in lines) * LEADING


def lines_beyond(height_pt: float) -> int:
    """How many lines a sheet must have room for beyond its usual ones, for a label that high."""
    usual_pt = (_HEAD_PT + (USUAL_LINES - 1) * BODY_PT[0]) * LEADING
    return max(0, math.ceil((height_pt - usual_pt) / (
        FURTHER_LINE_MM / MM_PER_INCH * POINTS_PER_INCH)))


def _head(text: str, width_pt: float, most_lines: int) -> tuple[LabelLine, ...]:
    font = font_for(text, BOLD_FONT)
    wide = text_width_pt(printable(text, font), font, _HEAD_PT)
    size_pt = min(_HEAD_PT, max(_LEAST_HEAD_PT, math.floor(_HEAD_PT * width_pt / wide * 10) / 10))
    return _set(text, BOLD_FONT, size_pt, width_pt, most_lines)


def _set(text: str, font: str, size_pt: float, width_pt: float,
         most_lines: int | None = None) -> tuple[LabelLine, ...]:
    shown = font_for(text, font)
    return tuple(LabelLine(line, shown, size_pt) for line in wrapped(
        printable(text, shown), shown, size_pt, width_pt, most_lines=most_lines))


def font_for(text: str, font: str) -> str:
    """The font, or the wide one where that shows more of the text."""
    shown = {name: sum(ord(c) in _glyphs(name) for c in text) for name in (font, WIDE_FONT)}
    return WIDE_FONT if shown[WIDE_FONT] > shown[font] else font


def shortened(line: LabelLine, width_pt: float) -> str:
    """The line's text with its end replaced by an ellipsis where it is too wide."""
    return wrapped(printable(line.text, line.font), line.font, line.size_pt, width_pt,
                   most_lines=1)[0]


def printable(text: str, font: str) -> str:
    """The text on one line, with ``?`` for what the font cannot show."""
    glyphs = _glyphs(font)
    return "".join(c if ord(c) in glyphs and c.isprintable() else "?"
                   for c in " ".join(text.split()))


@lru_cache(maxsize=3)
def _glyphs(font: str) -> frozenset[int]:
    register_fonts()
    return frozenset(pdfmetrics.getFont(font).face.charToGlyph)
