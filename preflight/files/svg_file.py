"""SVG files read with care: bounded, without entities, and with nothing fetched from elsewhere."""

from __future__ import annotations

from pathlib import Path
from xml.etree.ElementTree import Element, ParseError

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import fromstring

from preflight.files.regular_files import bytes_of
from preflight.input_problem import InputProblem

MOST_BYTES = 20_000_000


def svg_root(path: Path, *, would_do: str) -> Element:
    """The root of an SVG file.

    Parameters
    ----------
    path : Path
        The file.
    would_do : str
        What a fault asks for.

    Raises
    ------
    InputProblem
        When it is no plain file, larger than 20 MB, no well-formed XML, no SVG, or declares
        entities or names other files.
    """
    raw = bytes_of(path, MOST_BYTES, would_do=would_do)
    try:
        root: Element = fromstring(raw, forbid_dtd=False, forbid_entities=True,
                                   forbid_external=True)
    except DefusedXmlException:
        raise InputProblem(where=str(path), found="entities or references to other files",
                           would_do="a plain SVG without them") from None
    except (ParseError, ValueError, LookupError) as fault:
        raise InputProblem(where=str(path), found=f"XML that is not well formed ({fault})"[:120],
                           would_do=would_do) from None
    if local_name(root) != "svg":
        raise InputProblem(where=str(path), found=f"XML that begins with <{local_name(root)[:40]}>",
                           would_do=would_do)
    return root


def local_name(element: Element) -> str:
    """An element's name without its namespace; empty for comments and the like."""
    return element.tag.rpartition("}")[2] if isinstance(element.tag, str) else ""


def by_id(root: Element) -> dict[str, Element]:
    """The file's elements by their ids; the first of a name counts."""
    named: dict[str, Element] = {}
    for element in root.iter():
        if element.get("id"):
            named.setdefault(element.get("id", ""), element)
    return named
