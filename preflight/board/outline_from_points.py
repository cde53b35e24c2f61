"""Outlines from files: a table of points, as a spreadsheet or a drawing program writes it."""

from __future__ import annotations

import re
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline
from shapely.geometry import LinearRing, Polygon
from shapely.validation import explain_validity

from preflight.board.board_outline import (
    LONGEST_BOARD_MM,
    SHORTEST_BOARD_MM,
    BoardOutline,
    anticlockwise,
    half_mirrored,
)
from preflight.files.regular_files import bytes_of
from preflight.input_problem import InputProblem
from preflight.nouns import counted
from preflight.units import MM_PER_INCH

LARGEST_TABLE_BYTES = 20_000_000
FEWEST_POINTS = 8
#: Points nearer to each other than this are one point (mm).
SAME_POINT_MM = 1e-4
#: A half may begin and end this far off the centre line (mm) and is closed on it.
ON_CENTRE_LINE_MM = 0.05
#: A ring may lie this far off the board frame (mm) before it is moved and a remark made.
OFF_CENTRE_MM = 0.005
SPLINE_CHORD_ERROR_MM = 0.002

#: No unit makes a board of numbers beyond this; their squares would overflow.
_GREATEST_NUMBER = 1e12
_MM_PER = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH, "inch": MM_PER_INCH,
           "inches": MM_PER_INCH}
_HEADING = re.compile(r"([xy])[\s_]*[(\[]?\s*(mm|cm|m|in|inch|inches)?\s*[)\]]?", re.IGNORECASE)
_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)(e[+-]?\d+)?", re.IGNORECASE | re.ASCII)


class _Table(NamedTuple):
    """Points as they stand in the file, in mm, and the line of each."""

    points_mm: NDArray[np.float64]
    lines: NDArray[np.int64]


def read_points_table(path: Path, *, unit: str = "mm", smooth: bool = False,
                      half: bool | None = None) -> BoardOutline:
    """Read a ring of points, or one half of it to be mirrored.

    Parameters
    ----------
    path : Path
        Text with an x and a y on each line, parted by commas, semicolons, tabs or spaces;
        decimal commas where the separator is not a comma; ``#`` starts a comment. The first line
        may name the columns, ``x`` and ``y``, with a unit: ``x_mm``, ``y (cm)``, ``x in``.
    unit : str
        Unit of columns that name none: mm, cm, m or in.
    smooth : bool
        Lay a periodic cubic spline through the points; otherwise they are joined by straight
        lines.
    half : bool or None
        Whether the table holds one half. None finds out: a half lies on one side of y = 0, and
        either runs steadily along x or begins and ends on y = 0 without closing.

    Returns
    -------
    BoardOutline
        In the board frame. A ring drawn upright is laid down (its top becomes the nose), one
        drawn elsewhere is moved to the origin; each such step is told in ``remarks``.

    Raises
    ------
    InputProblem
        When there is no such file, no sound number, fewer than 8 points, a ring that crosses
        itself, or a length outside 200 to 3000 mm; it names the file and, where it can, the line.
    """
    if unit not in _MM_PER:
        raise InputProblem(where=str(path), found=f"the unit {unit!r}",
                           would_do="one of " + ", ".join(_MM_PER))
    table = _without_repeats(_read_table(path, _MM_PER[unit]))
    remarks: list[str] = []
    _need_points(path, table)
    ring = table.points_mm
    is_half = _looks_like_half(ring) if half is None else half
    if is_half:
        ring = ring.copy()
        ends = ring[[0, -1], 1]
        ring[[0, -1], 1] = np.where(np.abs(ends) <= ON_CENTRE_LINE_MM, 0.0, ends)
        ring = half_mirrored(ring)
        remarks.append("The table holds one half; it was mirrored across the centre line.")
    _need_simple(path, ring, table, mirrored=is_half)
    ring = anticlockwise(ring)
    ring, turned = _laid_down(ring)
    if turned and is_half:
        raise InputProblem(where=str(path), found="a half that is wider than long",
                           would_do="a half with x along the board")
    if turned:
        remarks.append("The points stand upright; their top was taken for the nose.")
    if smooth:
        ring = _smoothed(ring)
        _need_simple(path, ring, table, mirrored=is_half)
        remarks.append("A smooth curve was laid through the points.")
    ring = _moved_to_frame(ring, remarks, keep_centre_line=is_half)
    _need_scale(path, float(np.ptp(ring[:, 0])))
    return BoardOutline(ring_mm=ring, remarks=tuple(remarks))


def _read_table(path: Path, mm_per_unit: float) -> _Table:
    lines = [(number, line.strip()) for number, line in enumerate(_text(path).splitlines(), 1)]
    lines = [(number, line) for number, line in lines if line and not line.startswith("#")]
    if not lines:
        raise InputProblem(where=str(path), found="no points", would_do="an x and a y per line")
    separator = _separator([line for _, line in lines])
    factors, order = (mm_per_unit, mm_per_unit), (0, 1)
    heading = _heading(_cells(lines[0][1], separator), mm_per_unit)
    if heading is not None:
        factors, order = heading
        lines = lines[1:]
    points = np.empty((len(lines), 2))
    for row, (number, line) in enumerate(lines):
        cells = _cells(line, separator)
        if len(cells) <= max(order) or (heading is None and len(cells) != 2):
            raise InputProblem(where=f"{path}, line {number}", found=repr(line[:60]),
                               would_do="one x and one y, with semicolons between where commas "
                               "are decimal,")
        for axis in (0, 1):
            points[row, axis] = factors[axis] * _number(path, number, cells[order[axis]],
                                                        decimal_comma=separator != ",")
    return _Table(points, np.array([number for number, _ in lines], dtype=np.int64))


def _text(path: Path) -> str:
    raw = bytes_of(path, LARGEST_TABLE_BYTES, would_do="a table of points of at most 20 MB")
    wide = raw.startswith((b"\xff\xfe", b"\xfe\xff"))
    try:
        text = raw.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError:
        text = "\0"
    if "\0" in text:
        raise InputProblem(where=str(path), found="something other than text",
                           would_do="a table of points in UTF-8")
    return text


def _separator(lines: list[str]) -> str | None:
    """Semicolon, tab, comma or None for spaces: whichever every line has, in that order."""
    for separator in (";", "\t"):
        if all(separator in line for line in lines):
            return separator
    spaced = all(len(line.split()) == 2 and not line.split()[0].endswith(",") for line in lines)
    return None if spaced or not any("," in line for line in lines) else ","


def _cells(line: str, separator: str | None) -> list[str]:
    cells = [cell.strip().strip("\"'").strip() for cell in line.split(separator)]
    while len(cells) > 2 and not cells[-1]:
        cells.pop()
    return cells


def _heading(cells: list[str], mm_per_unit: float
             ) -> tuple[tuple[float, float], tuple[int, int]] | None:
    """Units (mm each) and columns of x and y, where the line names both."""
    found: dict[str, tuple[float, int]] = {}
    for column, cell in enumerate(cells):
        match = _HEADING.fullmatch(cell)
        if match is not None:
            factor = _MM_PER[match[2].lower()] if match[2] else mm_per_unit
            found.setdefault(match[1].lower(), (factor, column))
    if set(found) != {"x", "y"}:
        return None
    return (found["x"][0], found["y"][0]), (found["x"][1], found["y"][1])


def _number(path: Path, line: int, cell: str, *, decimal_comma: bool) -> float:
    if _NUMBER.fullmatch(cell) and (decimal_comma or "," not in cell):
        value = float(cell.replace(",", "."))
        if abs(value) <= _GREATEST_NUMBER:
            return value
    raise InputProblem(where=f"{path}, line {line}", found=repr(cell[:40]), would_do="a number")


def _without_repeats(table: _Table) -> _Table:
    """The same points without those that repeat their forerunner, or the first at the end."""
    points = table.points_mm
    step = np.linalg.norm(np.diff(points, axis=0, prepend=points[-1:]), axis=1)
    kept = step > SAME_POINT_MM
    if len(points) > 1 and not kept[0]:  # the closing point goes, the first stays
        kept[0] = True
        last = len(points) - 1
        while last > 0 and np.linalg.norm(points[last] - points[0]) <= SAME_POINT_MM:
            kept[last] = False
            last -= 1
    return _Table(points[kept], table.lines[kept])


def _looks_like_half(points: NDArray[np.float64]) -> bool:
    y = points[:, 1]
    one_sided = bool((y >= -ON_CENTRE_LINE_MM).all() or (y <= ON_CENTRE_LINE_MM).all())
    step = np.diff(points[:, 0])
    steady = bool((step >= 0.0).all() or (step <= 0.0).all())
    ends_on_line = bool((np.abs(y[[0, -1]]) <= ON_CENTRE_LINE_MM).all())
    apart = abs(points[0, 0] - points[-1, 0]) > 0.5 * np.ptp(points[:, 0])
    return one_sided and (steady or (ends_on_line and apart))


def _need_points(path: Path, table: _Table) -> None:
    if len(table.points_mm) < FEWEST_POINTS:
        raise InputProblem(where=str(path), found=counted(len(table.points_mm), "different point"),
                           would_do=f"at least {FEWEST_POINTS} of them")


def _need_simple(path: Path, ring: NDArray[np.float64], table: _Table, *, mirrored: bool
                 ) -> None:
    polygon = Polygon(ring)
    if polygon.is_valid and polygon.area > 0.0 and LinearRing(ring).is_simple:
        return
    where = str(path)
    spot = re.search(r"\[(\S+) (\S+)\]", explain_validity(polygon))
    if spot is not None:
        here = np.array([float(spot[1]), float(spot[2])])
        away = np.linalg.norm(table.points_mm - here, axis=1)
        if mirrored:
            away = np.minimum(away, np.linalg.norm(table.points_mm - here * [1, -1], axis=1))
        where += f", near line {table.lines[np.argmin(away)]}"
    raise InputProblem(where=where, found="a ring that crosses or touches itself",
                       would_do="points in order around the board")


def _need_scale(path: Path, length_mm: float) -> None:
    if not SHORTEST_BOARD_MM <= length_mm <= LONGEST_BOARD_MM:
        raise InputProblem(
            where=str(path), found=f"a board {length_mm:g} mm long",
            would_do=f"{SHORTEST_BOARD_MM:g} to {LONGEST_BOARD_MM:g} mm (a heading such as "
            "'x_cm,y_cm' declares another unit)")


def _laid_down(ring: NDArray[np.float64]) -> tuple[NDArray[np.float64], bool]:
    if np.ptp(ring[:, 1]) <= np.ptp(ring[:, 0]):
        return ring, False
    return np.column_stack([ring[:, 1], -ring[:, 0]]), True


def _smoothed(ring: NDArray[np.float64]) -> NDArray[np.float64]:
    """Points of a periodic cubic spline through the ring, by chord length."""
    closed = np.concatenate([ring, ring[:1]])
    chord = np.linalg.norm(np.diff(closed, axis=0), axis=1)
    at = np.concatenate([[0.0], np.cumsum(chord)])
    spline = CubicSpline(at, closed, bc_type="periodic")
    second = np.linalg.norm(spline(at, 2), axis=1)  # straight between knots: knots are extremes
    sharpest = np.maximum(second[:-1], second[1:])
    count = np.ceil(chord * np.sqrt(sharpest / 8.0 / SPLINE_CHORD_ERROR_MM)).astype(int) + 1
    pieces = [np.linspace(start, end, n, endpoint=False)
              for start, end, n in zip(at[:-1], at[1:], count, strict=True)]
    return np.asarray(spline(np.concatenate(pieces)))


def _moved_to_frame(ring: NDArray[np.float64], remarks: list[str], *, keep_centre_line: bool
                    ) -> NDArray[np.float64]:
    """The ring with its middle at the origin; says so when that moved it."""
    middle = (ring.min(axis=0) + ring.max(axis=0)) / 2
    if keep_centre_line:
        middle[1] = 0.0
    middle[np.abs(middle) <= OFF_CENTRE_MM] = 0.0
    if not middle.any():
        return ring
    remarks.append(f"The outline was moved by {-middle[0] + 0.0:g} mm along and "
                   f"{-middle[1] + 0.0:g} mm across, so that its middle is the origin.")
    moved: NDArray[np.float64] = ring - middle
    return moved
