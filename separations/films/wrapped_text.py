"""Text set on as many lines as it takes: broken between facts where it can be, else words."""

from __future__ import annotations

import re
from functools import lru_cache

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from preflight.vector_art.lettering import SHIPPED_FONT

#: Free fonts that come with reportlab; embedded as subsets.
PLAIN_FONT = "Vera"
BOLD_FONT = "VeraBd"
#: The package's own, for what those two cannot show.
WIDE_FONT = "DejaVuSans"
#: Where a fact ends.
_BETWEEN_FACTS = " · "


def text_width_pt(text: str, font: str, size_pt: float) -> float:
    """How wide a text is set (points)."""
    register_fonts()
    return float(pdfmetrics.stringWidth(text, font, size_pt))


def wrapped(text: str, font: str, size_pt: float, width_pt: float, *,
            most_lines: int | None = None) -> tuple[str, ...]:
    """Break a text into lines.

    Parameters
    ----------
    text : str
        Printable in the font. Facts are parted by a dot in the middle of the line, which is left
        out where a line ends.
    font, size_pt : str, float
        How it is set (points).
    width_pt : float
        How wide a line may be (points).
    most_lines : int, optional
        What is beyond so many lines is left out, and an ellipsis says so.

    Returns
    -------
    tuple of str
        At least one line; a word that is wider than a line is broken anywhere.
    """
    lines = [""]
    for fact in text.split(_BETWEEN_FACTS):
        joined = lines[-1] + _BETWEEN_FACTS + fact if lines[-1] else fact
        if text_width_pt(joined, font, size_pt) <= width_pt:
            lines[-1] = joined
            continue
        more = _by_words(fact, font, size_pt, width_pt)
        lines = lines + more if lines[-1] else lines[:-1] + more
    if most_lines is not None and len(lines) > most_lines:
        lines = lines[:most_lines]
        while lines[-1] and text_width_pt(lines[-1] + "…", font, size_pt) > width_pt:
            lines[-1] = lines[-1][:-1]
        lines[-1] = lines[-1].rstrip() + "…"
    return tuple(lines)


def _by_words(text: str, font: str, size_pt: float, width_pt: float) -> list[str]:
    lines = [""]
    for word in re.split(" +", text):
        joined = f"{lines[-1]} {word}" if lines[-1] else word
        if text_width_pt(joined, font, size_pt) <= width_pt:
            lines[-1] = joined
            continue
        if lines[-1]:
            lines.append("")
        for letter in word:
            if lines[-1] and text_width_pt(lines[-1] + letter, font, size_pt) > width_pt:
                lines.append("")
            lines[-1] += letter
    return lines


@lru_cache(maxsize=1)
def register_fonts() -> None:
    """Let reportlab know the fonts; once is enough."""
    for font in (PLAIN_FONT, BOLD_FONT):
        pdfmetrics.registerFont(TTFont(font, f"{font}.ttf"))
    pdfmetrics.registerFont(TTFont(WIDE_FONT, str(SHIPPED_FONT)))
