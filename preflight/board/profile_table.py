"""A side profile from a file: an x and a z on each line, as a spreadsheet writes them."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np

from preflight.board.side_profile import SideProfile, profile_from_points
from preflight.files.regular_files import bytes_of
from preflight.input_problem import InputProblem
from preflight.units import MM_PER_INCH

_LARGEST_BYTES = 5_000_000
_MM_PER = {"mm": 1.0, "cm": 10.0, "in": MM_PER_INCH}
_HEADING = re.compile(r"([xz])[\s_]*[(\[]?\s*(mm|cm|in)?\s*[)\]]?", re.IGNORECASE)


def read_profile_table(path: Path, *, unit: str = "mm") -> SideProfile:
    """Read a table of x and z.

    Parameters
    ----------
    path : Path
        UTF-8 text with an x (along the board as seen from above) and a z (height of the printed
        face) on each line, parted by semicolons, tabs, commas or spaces; decimal commas where the
        separator is no comma; ``#`` starts a comment. The first line may name the columns, ``x``
        and ``z``, with a unit: ``x_mm``, ``z (cm)``, ``x in``.
    unit : str
        Of columns that name none: mm, cm or in.

    Raises
    ------
    InputProblem
        When there is no such file, a line holds no two numbers, or the points make no profile.
    """
    rows, names = [], []
    lines = [(n, line.strip()) for n, line in enumerate(_text(path).splitlines(), 1)]
    lines = [(n, line) for n, line in lines if line and not line.startswith("#")]
    heading = _heading(lines[0][1], unit) if lines else None
    columns, factors = heading or ([0, 1], [_MM_PER[unit]] * 2)
    lines = lines[1:] if heading else lines
    for number, line in lines:
        rows.append(_pair(line, f"{path}, line {number}"))
        names.append(f"line {number}")
    points = np.array(rows, np.float64).reshape(-1, 2)[:, columns] * factors
    return profile_from_points(points, where=str(path), names=tuple(names))


def _heading(line: str, unit: str) -> tuple[list[int], list[float]] | None:
    """Columns of x and z and their units (mm each), where the line names both."""
    cells = [cell.strip().strip("\"'").strip() for cell in re.split(r"[;,\t]", line)]
    if len(cells) != 2:
        cells = line.split()
    found = [match for match in map(_HEADING.fullmatch, cells) if match]
    names = [match[1].lower() for match in found]
    if len(cells) != 2 or sorted(names) != ["x", "z"]:
        return None
    columns = [names.index("x"), names.index("z")]
    return columns, [_MM_PER[(found[c][2] or unit).lower()] for c in columns]


def _pair(line: str, where: str) -> tuple[float, float]:
    separator = next((s for s in (";", "\t", ",") if s in line), None)
    if separator == "," and " " in line and line.count(",") > 1:
        separator = None if len(line.split()) == 2 and not line.split()[0].endswith(",") else ","
    cells = [cell.strip().strip("\"'") for cell in line.split(separator) if cell.strip()]
    try:
        x, z = (float(cell if separator == "," else cell.replace(",", ".")) for cell in cells)
    except ValueError:
        x = z = math.nan
    if not (math.isfinite(x) and math.isfinite(z)):
        raise InputProblem(where=where, found=repr(line[:60]),
                           would_do="one x and one z in figures, such as 120.5; 4.2")
    return x, z


def _text(path: Path) -> str:
    asked = "a table of x and z in UTF-8, under 5 MB,"
    raw = bytes_of(path, _LARGEST_BYTES, would_do=asked)
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputProblem(where=str(path), found="something other than text",
                           would_do=asked) from None
