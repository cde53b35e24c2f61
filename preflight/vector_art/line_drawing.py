"""Lines drawn through points on the board: straight or smooth, dashed, with an arrow and a name."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from shapely import LineString, MultiLineString, Polygon, affinity, get_parts, union_all

from preflight.board.area_mask import Area
from preflight.vector_art.flattening import Points, Subpath, bezier, without_repeats
from preflight.vector_art.lettering import Face, SetLetter, set_words
from preflight.vector_art.ring_area import as_area
from preflight.vector_art.strokes import Pen, between, stroke_area

#: How near curves and round ends are followed (mm): a third of a pixel of a film of 1440 dpi.
_TOLERANCE_MM = 0.005
#: Clear space between a name and its line, in cap heights. Own rule, as notes have it.
_CLEAR = 0.45
#: Half the width of an arrow head, and how far the line runs into it, in head lengths. Own rule.
_HALF_HEAD, _INTO_HEAD = 0.36, 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class LineStyle:
    """How a line is drawn; lengths in mm.

    Attributes
    ----------
    width_mm : float
        Width of the line, above 0.
    smooth : bool
        Whether it bends through its points, or runs straight from each to the next.
    dashes_mm : tuple of float
        Dashes and gaps by turns; empty for a whole line.
    arrow_mm : float
        Length of the arrow head at its last point; 0 for none.
    """

    width_mm: float
    smooth: bool = False
    dashes_mm: tuple[float, ...] = ()
    arrow_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LineName:
    """A name set along a line.

    Attributes
    ----------
    words : str
        The name.
    face : Face
        The font.
    type_mm : float
        Type size, one em in mm.
    at : float
        Where the middle of the name lies, 0 to 1 of the line's length.
    stands : str
        ``above`` the line as one reads, ``below`` it, or ``on`` it, where the line is left out.
    """

    words: str
    face: Face
    type_mm: float
    at: float = 0.5
    stands: str = "above"

    @property
    def capital_mm(self) -> float:
        """Height of its capitals (mm)."""
        return self.type_mm * self.face.cap_height_em


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawnLine:
    """A line as an area in board mm, and the letters of its name in it."""

    area: Area
    letters: tuple[SetLetter, ...] = ()


def drawn_line(points_mm: Points, style: LineStyle, name: LineName | None = None, *,
               where: str) -> DrawnLine:
    """Draw a line.

    Parameters
    ----------
    points_mm : NDArray of float64, shape (N, 2)
        What it runs through, x and y in board mm; at least two places.
    style : LineStyle
        How it is drawn.
    name : LineName, optional
        What is set along it.
    where : str
        What an `InputProblem` names.

    Raises
    ------
    InputProblem
        When the name's font lacks a character.
    """
    course = line_course(points_mm, smooth=style.smooth)
    length = float(_lengths(course)[-1])
    pieces: list[Area] = []
    stroke_end = length
    if style.arrow_mm > 0:
        head, stroke_end = _head(course, length, style.arrow_mm)
        pieces.append(head)
    runs = [(0.0, stroke_end)]
    letters: tuple[SetLetter, ...] = ()
    if name is not None:
        letters, (begins, ends) = _letters_along(course, style, name, where)
        pieces += [letter.area for letter in letters]
        if name.stands == "on":
            runs = [(0.0, min(begins, stroke_end)), (max(ends, 0.0), stroke_end)]
    pieces += [_stroke(course, style, low, high) for low, high in runs if high > low]
    return DrawnLine(area=as_area(union_all(pieces)) if pieces else Polygon(), letters=letters)


def line_course(points_mm: Points, *, smooth: bool) -> Points:
    """The points of a line's middle, close enough to be drawn straight between.

    Parameters
    ----------
    points_mm : NDArray of float64, shape (N, 2)
        What it runs through, at least two places.
    smooth : bool
        Whether it bends through them.

    Notes
    -----
    A smooth line is a centripetal Catmull-Rom spline: it has no loops or cusps within a piece.
    Source: Yuksel, Schaefer, Keyser, "Parameterization and applications of Catmull-Rom curves",
    Computer-Aided Design 43 (2011), from memory; a test measures that it runs through the points.
    """
    corners = without_repeats(np.asarray(points_mm, np.float64), closed=False)
    if not smooth or len(corners) < 3:
        return corners
    ends = np.vstack([2 * corners[0] - corners[1], corners, 2 * corners[-1] - corners[-2]])
    steps = np.sqrt(np.hypot(*np.diff(ends, axis=0).T))
    pieces = [corners[:1]]
    for number in range(len(corners) - 1):
        before, start, end, after = ends[number:number + 4]
        d1, d2, d3 = steps[number:number + 3]
        leaving = (d1**2 * end - d2**2 * before + (2 * d1**2 + 3 * d1 * d2 + d2**2) * start) / (
            3 * d1 * (d1 + d2))
        coming = (d3**2 * start - d2**2 * after + (2 * d3**2 + 3 * d3 * d2 + d2**2) * end) / (
            3 * d3 * (d3 + d2))
        pieces.append(bezier(np.array([start, leaving, coming, end]), _TOLERANCE_MM))
    return np.vstack(pieces)


def _lengths(course: Points) -> Points:
    """How far along the course each of its points lies (mm)."""
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(course, axis=0).T))])


def _at(course: Points, along: Points, distance: float) -> Points:
    """The place so far along; beyond its ends the course goes on straight."""
    place = np.array([np.interp(distance, along, course[:, axis]) for axis in (0, 1)])
    if distance < 0:
        place = place + distance * _unit(course[1] - course[0])
    elif distance > along[-1]:
        place = place + (distance - along[-1]) * _unit(course[-1] - course[-2])
    return place


def _unit(vector: Points) -> Points:
    return np.asarray(vector / math.hypot(*vector))


def _head(course: Points, length: float, arrow_mm: float) -> tuple[Area, float]:
    """The arrow head, and how far along the line itself is drawn."""
    tip = course[-1]
    back = _at(course, _lengths(course), max(length - arrow_mm, 0.0))
    way = _unit(tip - back) if (tip != back).any() else _unit(course[-1] - course[-2])
    side = _HALF_HEAD * arrow_mm * np.array([-way[1], way[0]])
    foot = tip - arrow_mm * way
    return (Polygon([tip, foot + side, foot - side]),
            max(length - (1 - _INTO_HEAD) * arrow_mm, 0.0))


def _stroke(course: Points, style: LineStyle, low: float, high: float) -> Area:
    part = Subpath(points=between(course, _lengths(course), low, high), closed=False)
    pen = Pen(width=style.width_mm, cap="butt" if style.dashes_mm else "round", join="round",
              dashes=style.dashes_mm, dash_start=low)
    return stroke_area([part], pen, _TOLERANCE_MM)


def _letters_along(course: Points, style: LineStyle, name: LineName,
                   where: str) -> tuple[tuple[SetLetter, ...], tuple[float, float]]:
    """The name's letters along the line, and from where to where they take its own place."""
    length = float(_lengths(course)[-1])
    words = set_words(name.words, name.face, name.type_mm, where=f"{where}.name")
    middle = name.at * length
    backwards = _reads_backwards(course, middle, words.advance)
    reading = course[::-1] if backwards else course
    clear = _CLEAR * name.capital_mm
    lift = {"above": style.width_mm / 2 + clear, "on": -name.capital_mm / 2,
            "below": -style.width_mm / 2 - clear - name.capital_mm}[name.stands]
    base = _lifted(reading, lift)
    # Beside a bend the base line is longer or shorter than the line: the middle stays in place.
    share = 1 - name.at if backwards else name.at
    start = share * float(_lengths(base)[-1]) - words.advance / 2
    half = words.advance / 2 + clear
    return (tuple(_set_along(words.each, base, start)),
            (middle - half, middle + half))


def _reads_backwards(course: Points, middle: float, advance: float) -> bool:
    """Whether the name reads against the line's own way."""
    along = _lengths(course)
    way = _at(course, along, middle + advance / 2) - _at(course, along, middle - advance / 2)
    across = abs(way[0]) < 1e-9 * abs(way[1])
    return bool(way[1] > 0 if across else way[0] < 0)


def _lifted(course: Points, by_mm: float) -> Points:
    """The course moved to its left; where it falls apart, its longest part."""
    if by_mm == 0:
        return course
    moved = LineString(course).offset_curve(by_mm, join_style="round")
    if isinstance(moved, MultiLineString):
        moved = max(get_parts(moved), key=lambda part: part.length)
    points = np.array(moved.coords, np.float64)
    return points if len(points) >= 2 else course


def _set_along(letters: tuple[SetLetter, ...], base: Points, start: float) -> Iterator[SetLetter]:
    """Each letter turned as the base line runs beneath it."""
    along = _lengths(base)
    for letter in letters:
        least, _, greatest, _ = letter.area.bounds
        middle, half = (least + greatest) / 2, max((greatest - least) / 2, 1e-3)
        way = _unit(_at(base, along, start + middle + half)
                    - _at(base, along, start + middle - half))
        at = _at(base, along, start + middle)
        cos, sin = float(way[0]), float(way[1])
        yield SetLetter(text=letter.text, up=(-sin, cos), area=affinity.affine_transform(
            letter.area, [cos, -sin, sin, cos, at[0] - cos * middle, at[1] - sin * middle]))
