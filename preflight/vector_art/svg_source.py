"""An SVG drawing opened, and refused where its parts would take for ever."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from xml.etree.ElementTree import Element

from preflight.files.svg_file import by_id, local_name, svg_root
from preflight.input_problem import InputProblem

_MOST_ELEMENTS, _MOST_DEPTH = 200_000, 100
_HREFS = ("href", "{http://www.w3.org/1999/xlink}href")
_ASKED = "an SVG drawing"


def read_svg(path: Path) -> Element:
    """The root of an SVG file.

    Raises
    ------
    InputProblem
        As `preflight.files.svg_file.svg_root`; when it has over 200,000 elements, over 100
        levels, or repeats parts without end.
    """
    root = svg_root(path, would_do=_ASKED)
    _bound(root, path)
    return root


def target_of(element: Element) -> str:
    """What a ``use`` refers to: an id of the same file, or nothing."""
    for key in _HREFS:
        name = element.get(key)
        if name is not None:
            return name[1:] if name.startswith("#") else ""
    return ""


def _bound(root: Element, path: Path) -> None:
    """Refuse what would take for ever: too much, too deep, or parts that repeat themselves."""
    named = by_id(root)
    left = _MOST_ELEMENTS
    levels: list[Iterator[Element]] = [iter([root])]
    while levels:
        element = next(levels[-1], None)
        if element is None:
            levels.pop()
            continue
        left -= 1
        if left < 0 or len(levels) > _MOST_DEPTH:
            raise InputProblem(
                where=str(path), found="too many parts, or parts that contain themselves",
                would_do=f"at most {_MOST_ELEMENTS:,} elements, uses counted, "
                         f"and {_MOST_DEPTH} levels")
        children = list(element)
        if local_name(element) == "use" and target_of(element) in named:
            children.append(named[target_of(element)])
        levels.append(iter(children))
