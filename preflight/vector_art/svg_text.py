"""SVG text set in letters."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from xml.etree.ElementTree import Element

import numpy as np
from shapely import affinity, union_all

from preflight.files.svg_file import local_name
from preflight.vector_art.lettering import Face, Letters, SetLetter, letters_through, set_words
from preflight.vector_art.ring_area import as_area
from preflight.vector_art.svg_lengths import length_px, numbers
from preflight.vector_art.svg_style import Style, declarations

#: How far the words stand back from their anchor, as a share of their length.
_STANDS_BACK = {"start": 0.0, "middle": 0.5, "end": 1.0}


def text_setter(face: Face, path: Path) -> Callable[[Element, Style], Letters]:
    """What sets an SVG's text elements in a font; ``path`` is named in faults."""

    def set_text(element: Element, style: Style) -> Letters:
        """The letters of a text element, in user units, y downwards."""
        lines: list[tuple[float, list[SetLetter]]] = []  # length, letters from each anchor on
        x = y = 0.0
        for words, (new_x, new_y), size in _chunks(element, style["font-size"]):
            letters = set_words(words, face, size, where=str(path))
            x, y = x if new_x is None else new_x, y if new_y is None else new_y
            if new_x is not None or not lines:
                lines.append((0.0, []))
            length, each = lines[-1]
            each += letters_through(letters.each, np.array([[1, 0, x], [0, -1, y], [0, 0, 1]]))
            lines[-1] = length + letters.advance, each
            x += letters.advance
        stands_back = _STANDS_BACK.get(style["text-anchor"], 0.0)
        placed = tuple(replace(letter, area=affinity.translate(letter.area, -stands_back * length))
                       for length, each in lines for letter in each)
        return Letters(area=as_area(union_all([letter.area for letter in placed])),
                       advance=sum(length for length, _ in lines), each=placed)

    return set_text


def _chunks(
    element: Element, type_size: str
) -> Iterator[tuple[str, tuple[float | None, float | None], float]]:
    """Words with where they begin (None: where the last ended) and their type size."""
    own = declarations(element.get("style", "")).get("font-size", element.get("font-size"))
    size = length_px(own or type_size)
    place = _first(element.get("x")), _first(element.get("y"))
    first = True
    for words, child in ((element.text, None), *((c.tail, c) for c in element)):
        if child is not None and local_name(child) == "tspan":
            yield from _chunks(child, f"{size}")
        text = re.sub(r"\s+", " ", words or "")
        text = text.lstrip() if first else text
        if text.strip() and size > 0:
            yield text, place if first else (None, None), size
            first = False


def _first(text: str | None) -> float | None:
    values = numbers(text) if text else []
    return values[0] if values else None
