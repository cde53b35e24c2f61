"""Readings as CxF files (ISO 17972-1): read without entities, and the test sheet's targets."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from xml.etree.ElementTree import Element, ParseError, SubElement, indent, tostring

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import fromstring

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from separations.uses.calibration.measuring_condition import (
    MeasuringCondition,
    condition_of_values,
)
from separations.uses.calibration.patches import PATCH_COLUMN, Patch

Rows = list[tuple[str, dict[str, str]]]

_NAMESPACE = "http://colorexchangeformat.com/CxF3-core"
_ASKED = "CxF of version 3 (ISO 17972-1), an object for each patch, named as on the sheet,"
#: Colours that are read, the first that is there, and the columns of our own list for them.
_COLOURS = (("ColorCIELab", {"L": "L", "A": "a", "B": "b"}),
            ("ColorCIEXYZ", {"X": "X", "Y": "Y", "Z": "Z"}))
_PROCESS = {"process cyan": "Cyan", "process magenta": "Magenta", "process yellow": "Yellow",
            "process black": "Black"}
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
                           + ", ".join(sorted({one.mode or "none told" for one in modes})) + ")",
                           would_do="a file of one condition")
    return rows, modes[0] if modes else MeasuringCondition()


def target_cxf(job: Job, patches: Sequence[Patch]) -> str:
    """The test sheet's patches as targets: names and film tones of the inks, in percent.

    Notes
    -----
    Source: ISO 17972-1 (CxF/X) as its schema has ``ColorCMYKPlusN``: process inks by their own
    names, others as spot colours.
    """
    root = Element("CxF", xmlns=_NAMESPACE)
    about = SubElement(root, "FileInformation")
    created = f"{job.date.isoformat()}T00:00:00Z"
    for name, words in (("Creator", "topsheet"), ("CreationDate", created),
                        ("Description", "Film tones in percent, in print order: "
                         + ", ".join(ink.name for ink in job.ink))):
        SubElement(about, name).text = words
    collection = SubElement(SubElement(root, "Resources"), "ObjectCollection")
    for patch in patches:
        one = SubElement(collection, "Object", ObjectType="Target", Name=patch.name,
                         Id=f"patch-{patch.name}")
        SubElement(one, "CreationDate").text = created
        tones = SubElement(SubElement(one, "DeviceColorValues"), "ColorCMYKPlusN")
        by_name = {_PROCESS[ink.colour]: tone for ink, tone in
                   zip(job.ink, patch.percent, strict=True) if ink.colour in _PROCESS}
        for name in _PROCESS.values():
            SubElement(tones, name).text = f"{by_name.get(name, 0):g}"
        for ink, tone in zip(job.ink, patch.percent, strict=True):
            if ink.colour not in _PROCESS:
                spot = SubElement(tones, "SpotColor")
                SubElement(spot, "Name").text = ink.name
                SubElement(spot, "Percentage").text = f"{tone:g}"
    indent(root)
    return ('<?xml version="1.0" encoding="UTF-8"?>\n'
            + tostring(root, encoding="unicode") + "\n")


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
    return f"{{{_NAMESPACE}}}{name}"


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
