"""Tables of readings as spreadsheets and measuring programs save them, as rows of cells."""

from __future__ import annotations

import csv
import math
import re
from itertools import zip_longest
from pathlib import Path

from preflight.files.regular_files import bytes_of
from preflight.input_problem import InputProblem
from preflight.nouns import counted
from separations.colour.measured_files.cgats_text import cgats_rows, is_cgats
from separations.colour.measured_files.cxf_objects import cxf_rows, is_cxf
from separations.colour.measured_files.measuring_condition import MeasuringCondition
from separations.colour.measured_files.patch_rows import Rows

_GREATEST_BYTES = 4_000_000
_NUMBER = re.compile(r"[+-]?(?:[0-9]+[.,]?[0-9]*|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?")


def read_table(path: Path) -> list[tuple[int, dict[str, str]]]:
    """Rows of a table with a heading line, each with its line number and cells by heading.

    Separated by comma, semicolon or tab; UTF-8 or UTF-16 with or without its mark. Empty lines
    and lines that begin with ``#`` are left out; headings lose the spaces round them.

    Raises
    ------
    InputProblem
        When the file cannot be read, or a line has more cells than the headings.
    """
    text = _text_of(path)
    lines = [(number, line) for number, line in enumerate(text.splitlines(), 1)
             if line.strip(" ,;\t") and not line.startswith("#")]
    if not lines:
        raise InputProblem(where=str(path), found="an empty table", would_do="a heading and rows")
    mark = max(";\t,", key=lines[0][1].count)
    try:
        rows = [(number, [cell.strip() for cell in next(csv.reader([line], delimiter=mark))])
                for number, line in lines]
    except csv.Error as error:
        raise InputProblem(where=str(path), found=f"a line that is not a table row ({error})",
                           would_do="cells separated by commas, semicolons or tabs") from None
    headings = rows[0][1]
    while headings and not headings[-1]:
        headings.pop()
    for heading in headings:
        if headings.count(heading) > 1:
            raise InputProblem(where=f"{path}: line {rows[0][0]}",
                               found=f"the heading '{heading}' twice",
                               would_do="each heading once")
    for number, cells in rows[1:]:
        if any(cells[len(headings):]):
            raise InputProblem(
                where=f"{path}: line {number}", found=counted(len(cells), "cell"),
                would_do=f"{counted(len(headings), 'cell')}, one for each heading (with decimal "
                         "commas the numbers in quotes, or ';' between cells),")
    return [(number, dict(zip_longest(headings, cells[:len(headings)], fillvalue="")))
            for number, cells in rows[1:]]


def measured_rows(path: Path) -> tuple[Rows, MeasuringCondition]:
    """Rows with their places, and how they were measured; the kind of file shows in its content.

    Raises
    ------
    InputProblem
        When the file cannot be read, or is none that is known.
    """
    text = _text_of(path)
    if is_cxf(text):
        return cxf_rows(text, str(path))
    if is_cgats(text):
        return cgats_rows(text, str(path))
    return [(f"line {line}", cells) for line, cells in read_table(path)], MeasuringCondition()


def number_in(text: str, where: str, least: float, most: float, what: str) -> float:
    """A number with decimal point or comma, in a range.

    Raises
    ------
    InputProblem
        When the text is no such number.
    """
    found = _NUMBER.fullmatch(text)
    value = float(text.replace(",", ".")) if found else math.nan
    if not least <= value <= most:
        raise InputProblem(where=where, found=f"'{text}'",
                           would_do=f"{what} from {least:g} to {most:g}")
    return value


def _text_of(path: Path) -> str:
    """The file's text, whatever coding a spreadsheet or measuring program saved it in.

    Raises
    ------
    InputProblem
        When the file cannot be read or is no text.
    """
    asked = "a table of readings under 4 MB, saved as CSV,"
    raw = bytes_of(path, _GREATEST_BYTES, would_do=asked)
    coding = "utf-16" if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        text = raw.decode(coding)
    except UnicodeDecodeError:
        if b"BEGIN_DATA_FORMAT" in raw:  # only words of CGATS text are in another coding
            return raw.decode("latin-1")
        raise InputProblem(where=str(path), found="bytes that are no UTF-8 text",
                           would_do=asked) from None
    if "\0" in text:
        raise InputProblem(where=str(path), found="bytes that are no text", would_do=asked)
    return text
