"""Readings as CxF files (ISO 17972-1), read without entities."""

from __future__ import annotations

from collections.abc import Iterator
from xml.etree.ElementTree import Element, ParseError

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import fromstring

from preflight.input_problem import InputProblem
from separations.colour.measured_files.measuring_condition import (
    MeasuringCondition,
    condition_of_values,
)
from separations.colour.measured_files.patch_rows import PATCH_COLUMN, Rows

#: The namespace of CxF of version 3.
NAMESPACE = "http://colorexchangeformat.com/CxF3-core"
_ASKED = "CxF of version 3 (ISO 17972-1), an object for each patch, named as on the sheet,"
#: Colours that are read, the first that is there, and the columns of our own list for them.
_COLOURS = (("ColorCIELab", {"L": "L", "A": "a", "B": "b"}),
            ("ColorCIEXYZ", {"X": "X", "Y": "Y", "Z": "Z"}))
_MOST_BANDS = 200


def is_cxf(text: str) -> bool:
    """Whether a text is XML rather than a list of cells."""
    return text.lstrip().startswith("<")


def cxf_rows(text: str, where: str) -> tuple[Rows, MeasuringCondition]:
    """Rows by our own list's headings, each with its place, and how they were measured.

    Raises
    ------
    InputProblem
        When the text is no XML, has entities or a document type, is another version, has no
        object with a colour, or a spectrum without its wavelengths.
    """
    root = _root(text, where)
    specifications = {one.get("Id", ""): one for one in root.iter(_tag("ColorSpecification"))}
    rows: Rows = []
    used: dict[str, MeasuringCondition] = {}
    for number, found in enumerate(root.iter(_tag("Object")), 1):
        values = found.find(_tag("ColorValues"))
        if values is None:
            continue
        place = f"object {number}"
        told = {element.get("ColorSpecification", "") for element in values}
        used |= {name: condition_of_values(_leaves(specifications[name]))
                 for name in told & specifications.keys() - used.keys()}
        cells = _cells(values, specifications, used, f"{where}: {place}")
        if cells:
            rows.append((place, {PATCH_COLUMN: found.get("Name", ""), **cells}))
    if not rows:
        raise InputProblem(where=where, found="no object with a spectrum, CIELAB or XYZ",
                           would_do=_ASKED)
    modes = list(used.values())
    if len({one.mode for one in modes}) > 1:
        raise InputProblem(where=where, found="readings of several measurement conditions ("
                           + ", ".join(sorted({one.mode or "none given" for one in modes})) + ")",
                           would_do="a file of one condition")
    return rows, modes[0] if modes else MeasuringCondition()


def _root(text: str, where: str) -> Element:
    try:
        root: Element = fromstring(text.encode(), forbid_dtd=True)
    except (ParseError, DefusedXmlException, ValueError, LookupError, RecursionError):
        raise InputProblem(where=where, found="XML that is broken, or has entities or a document "
                           "type", would_do=_ASKED) from None
    if root.tag != _tag("CxF"):
        space, _, name = root.tag.removeprefix("{").rpartition("}")
        raise InputProblem(where=where, found=f"a document <{name[:40]}>"
                           + (f" of {space[:80]}" if space else ""), would_do=_ASKED)
    return root


def _tag(name: str) -> str:
    return f"{{{NAMESPACE}}}{name}"


def _leaves(element: Element) -> dict[str, str]:
    """Texts of all elements within, by their names, without those that hold others."""
    return {one.tag.rpartition("}")[2]: "".join(c for c in one.text if c.isprintable()).strip()
            for one in element.iter() if one.text and not len(one)}


def _cells(values: Element, specifications: dict[str, Element],
           used: dict[str, MeasuringCondition], where: str) -> dict[str, str]:
    """Cells of one object's spectrum, else of its colour; none where it has neither."""
    spectrum = values.find(_tag("ReflectanceSpectrum"))
    if spectrum is not None:
        return _bands(spectrum, specifications, where)
    for name, columns in _COLOURS:
        found = values.find(_tag(name))
        if found is not None:
            condition = used.get(found.get("ColorSpecification", ""))
            if condition is not None:
                condition.check_colours(where)
            return {ours: (found.findtext(_tag(theirs)) or "").strip()
                    for theirs, ours in columns.items()}
    return {}


def _bands(spectrum: Element, specifications: dict[str, Element], where: str) -> dict[str, str]:
    """Cells by wavelength; start and step stand on the spectrum or in its specification."""
    ranges = list(_ranges(spectrum, specifications))
    start, step = (next((one.get(name) for one in ranges if one.get(name)), "")
                   for name in ("StartWL", "Increment"))
    figures = (spectrum.text or "").split()
    if not (start or "").isdigit() or not (step or "").isdigit() or not 0 < len(figures) <= (
            _MOST_BANDS):
        raise InputProblem(
            where=where, found=f"a spectrum of {len(figures)} figures from '{(start or '')[:20]}' "
            f"nm every '{(step or '')[:20]}' nm",
            would_do="a spectrum with StartWL and Increment in whole nm")
    first, by = int(start or 0), int(step or 0)
    if not (100 <= first <= 999 and first + by * (len(figures) - 1) <= 999 and by > 0):
        raise InputProblem(where=where, found=f"a spectrum from {first} nm on every {by} nm",
                           would_do="wavelengths between 360 and 780 nm")
    return {f"nm{first + by * place}": figure for place, figure in enumerate(figures)}


def _ranges(spectrum: Element, specifications: dict[str, Element]) -> Iterator[Element]:
    yield spectrum
    told = specifications.get(spectrum.get("ColorSpecification", ""))
    if told is not None:
        yield from told.iter(_tag("WavelengthRange"))
