"""Readings as measuring programs write them: CGATS.17 / ISO 28178 text."""

from __future__ import annotations

import re
from collections.abc import Sequence

from preflight.input_problem import InputProblem
from preflight.nouns import counted
from separations.colour.measured_files.measuring_condition import (
    CONDITION_KEYWORDS,
    MeasuringCondition,
    condition_of_keywords,
)
from separations.colour.measured_files.patch_rows import PATCH_COLUMN, Rows
from separations.colour.measured_files.spectral_columns import wavelength_of

#: Fields that are read, and the columns of our own list that they stand for.
_FIELDS = {"LAB_L": "L", "LAB_A": "a", "LAB_B": "b", "XYZ_X": "X", "XYZ_Y": "Y", "XYZ_Z": "Z",
           "D_MAJOR_FILTER": "D"}
#: Fields of film tones: of the four process inks, or of n inks by their number.
_DEVICE = re.compile(r"CMYK_[CMYK]|[0-9]{1,2}CLR_[0-9]{1,2}")
_COLOUR_FIELDS = _FIELDS.keys() - {"D_MAJOR_FILTER"}
#: Fields that may hold a patch's name, the first that is there.
_NAMES = ("SAMPLE_NAME", "SAMPLE_LOC", "SAMPLE_ID")
_ASKED = "CGATS text (ISO 28178) with one table: BEGIN_DATA_FORMAT, BEGIN_DATA, and the end of each"
_LINE = re.compile(r"\r\n|\r|\n")


def is_cgats(text: str) -> bool:
    """Whether a text is CGATS rather than a list of cells."""
    return any(line.strip() == "BEGIN_DATA_FORMAT" for line in _LINE.split(text))


def cgats_rows(text: str, where: str) -> tuple[Rows, MeasuringCondition]:
    """Rows of a CGATS text, each with its line and cells by our own list's headings.

    Film tones keep the names of their fields. Beside the rows, how they were measured.

    Raises
    ------
    InputProblem
        When the text has no table or several, a row has too few or too many cells, or it has
        another number of rows than it tells, or colours are for another light or observer than
        D50 and 2°.
    """
    lines = [(number, line.strip()) for number, line in enumerate(_LINE.split(text), 1)]
    names = " ".join(line for _, line in _between(lines, "DATA_FORMAT", where)).split()
    rows = [(number, _cells(line)) for number, line in _between(lines, "DATA", where) if line]
    for name in names:
        if names.count(name) > 1:
            raise InputProblem(where=where, found=f"the field '{name}' twice",
                               would_do="each field once")
    called = next((name for name in _NAMES if name in names), None)
    bands = {name: f"nm{wave}" for name in names if (wave := wavelength_of(name)) is not None}
    device = {name: name for name in names if is_device_field(name)}
    fields = {**_FIELDS, **bands}
    if called is None or not set(names) & fields.keys():
        raise InputProblem(
            where=where, found="the fields " + (", ".join(names)[:120] or "none"),
            would_do="SAMPLE_ID with the patch's name, and LAB_L, LAB_A and LAB_B, or XYZ_X, "
                     "XYZ_Y and XYZ_Z, or SPECTRAL_NM_380 and so on, or D_MAJOR_FILTER")
    for number, cells in rows:
        if len(cells) != len(names):
            raise InputProblem(where=f"{where}: line {number}", found=counted(len(cells), "cell"),
                               would_do=f"{counted(len(names), 'cell')}, one for each field,")
    told = _keyword(lines, "NUMBER_OF_SETS")
    if told and told != str(len(rows)):
        raise InputProblem(where=where, would_do="the whole file",
                           found=f"{counted(len(rows), 'row')} where NUMBER_OF_SETS says "
                                 f"{told[:20]}")
    condition = condition_of_keywords({
        key: "".join(c for c in _keyword(lines, key) if c.isprintable())
        for key in CONDITION_KEYWORDS})
    if not bands and set(names) & _COLOUR_FIELDS:
        condition.check_colours(where)
    return [(f"line {number}", {
        PATCH_COLUMN: cells[names.index(called)],
        **{ours: cells[names.index(theirs)] for theirs, ours in {**fields, **device}.items()
           if theirs in names}}) for number, cells in rows], condition


def is_device_field(name: str) -> bool:
    """Whether a field holds film tones (percent): ``CMYK_C`` and the like, or ``4CLR_1``."""
    return _DEVICE.fullmatch(name) is not None


def _between(lines: Sequence[tuple[int, str]], what: str, where: str) -> list[tuple[int, str]]:
    starts = [place for place, (_, line) in enumerate(lines) if line == f"BEGIN_{what}"]
    ends = [place for place, (_, line) in enumerate(lines) if line == f"END_{what}"]
    if len(starts) != 1 or len(ends) != 1 or starts[0] > ends[0]:
        raise InputProblem(where=where, would_do=_ASKED, found=(
            f"BEGIN_{what} {counted(len(starts), 'time')} and END_{what} "
            f"{counted(len(ends), 'time')}" if len(starts) != 1 or len(ends) != 1 else
            f"END_{what} before BEGIN_{what}"))
    return list(lines[starts[0] + 1:ends[0]])


def _cells(line: str) -> list[str]:
    """Cells of a row: split at every tab, else at spaces; quotes hold spaces together."""
    cells = line.split("\t") if "\t" in line else re.findall(r'"[^"]*"|\S+', line)
    return [cell.strip().strip('"') for cell in cells]


def _keyword(lines: Sequence[tuple[int, str]], key: str) -> str:
    for _, line in lines:
        name, _, value = line.partition("\t" if "\t" in line else " ")
        if name == key:
            return value.strip().strip('"')
    return ""
