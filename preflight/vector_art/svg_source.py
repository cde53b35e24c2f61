"""An SVG file read with care: bounded, without scripts, and with nothing fetched from elsewhere."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from xml.etree.ElementTree import Element, ParseError

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import fromstring

from preflight.input_problem import InputProblem

MOST_BYTES = 20_000_000
_MOST_ELEMENTS, _MOST_DEPTH = 200_000, 100
_HREFS = ("href", "{http://www.w3.org/1999/xlink}href")
_ASKED = "an SVG drawing"


def read_svg(path: Path) -> Element:
    """The root of an SVG file.

    Raises
    ------
    InputProblem
        When there is no such file, it is larger than 20 MB, no well-formed XML, declares
        entities, is no SVG, has more than 200,000 elements or 100 levels, or repeats parts
        without end.
    """
    try:
        with path.open("rb") as stream:
            raw = stream.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise InputProblem(where=str(path), found="no such file", would_do=_ASKED) from None
    except OSError as fault:
        raise InputProblem(where=str(path), found=fault.strerror or "an unreadable file",
                           would_do=_ASKED) from None
    if len(raw) > MOST_BYTES:
        raise InputProblem(where=str(path), found="more than 20 MB", would_do=_ASKED)
    try:
        root: Element = fromstring(raw, forbid_dtd=False, forbid_entities=True,
                                   forbid_external=True)
    except DefusedXmlException:
        raise InputProblem(where=str(path), found="entities declared in it",
                           would_do="an SVG without them") from None
    except (ParseError, ValueError, LookupError) as fault:
        raise InputProblem(where=str(path), found=f"XML that is not well formed ({fault})"[:120],
                           would_do=_ASKED) from None
    if local_name(root) != "svg":
        raise InputProblem(where=str(path), found=f"a <{local_name(root)[:40]}> document",
                           would_do=_ASKED)
    _bound(root, path)
    return root


def local_name(element: Element) -> str:
    """An element's name without its namespace; empty for comments and the like."""
    return element.tag.rpartition("}")[2] if isinstance(element.tag, str) else ""


def target_of(element: Element) -> str:
    """What a ``use`` refers to: an id of the same file, or nothing."""
    for key in _HREFS:
        name = element.get(key)
        if name is not None:
            return name[1:] if name.startswith("#") else ""
    return ""


def by_id(root: Element) -> dict[str, Element]:
    """The file's elements by their ids; the first of a name counts."""
    named: dict[str, Element] = {}
    for element in root.iter():
        if element.get("id"):
            named.setdefault(element.get("id", ""), element)
    return named


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
                where=str(path), found="too many parts, or parts that hold themselves",
                would_do=f"at most {_MOST_ELEMENTS:,} elements, uses counted, "
                         f"and {_MOST_DEPTH} levels")
        children = list(element)
        if local_name(element) == "use" and target_of(element) in named:
            children.append(named[target_of(element)])
        levels.append(iter(children))
