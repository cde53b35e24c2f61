"""Courses drawn as lines: seen and hidden parts, clear of each other, cased and named."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from shapely import LineString, Polygon, union_all

from preflight.board.area_mask import Area
from preflight.tracks.course import STEP_MM, Course, runs
from preflight.tracks.courses_apart import kept_apart
from preflight.tracks.track_points import FloatArray
from preflight.vector_art.lettering import SetLetter
from preflight.vector_art.line_drawing import LineName, LineStyle, drawn_line
from preflight.vector_art.ring_area import as_area

#: How near the drawn line follows its course (mm): two pixels of a film of 1440 dpi.
_NEAR_MM = 0.03
#: Hidden parts: dashes and gaps, and the finer line, in widths of the whole one. Own rules.
_DASH, _DASH_GAP, _THIN = 2.5, 2.0, 0.5
#: Those of a line that is dashed where it is seen.
_DOT = 1.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CourseStyle:
    """How a track's courses are drawn; lengths in mm.

    Attributes
    ----------
    line : LineStyle
        Seen parts.
    hidden : str
        Hidden parts: ``dashed``, ``thin``, ``left out`` or ``drawn`` like the others.
    casing_mm : float
        Clear wood on either side.
    finest_mm : float
        Finest line, and finest gap, that mesh and film hold.
    name : LineName or None
        What is set along its longest seen part.
    """

    line: LineStyle
    hidden: str
    casing_mm: float
    finest_mm: float
    name: LineName | None = None

    @property
    def clear_mm(self) -> float:
        """What is kept free beside it."""
        return max(self.casing_mm, self.finest_mm)

    @property
    def hidden_line(self) -> LineStyle | None:
        """How hidden parts are drawn; None for not at all."""
        plain = replace(self.line, arrow_mm=0.0)
        if self.hidden == "left out":
            return None
        if self.hidden == "drawn":
            return plain
        width = plain.width_mm
        if self.hidden == "thin" and width > self.finest_mm:
            return replace(plain, width_mm=max(_THIN * width, self.finest_mm))
        gap = max(_DASH_GAP * width, self.finest_mm)
        return replace(plain, dashes_mm=(_DOT * width if plain.dashes_mm else _DASH * width, gap))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawnCourses:
    """A track's courses as areas in board mm, and what was moved.

    Attributes
    ----------
    area, casing : Polygon or MultiPolygon
        What its ink prints, and what is cleared for it.
    courses : tuple of Course
        Where they lie now.
    style : CourseStyle
        How they are drawn.
    letters : tuple of SetLetter
        Those of its name.
    moved_mm, moved_over_mm : float
        The greatest distance of a move, and the length of what was moved.
    """

    area: Area
    courses: tuple[Course, ...]
    style: CourseStyle
    casing: Area = field(default_factory=Polygon)
    letters: tuple[SetLetter, ...] = ()
    moved_mm: float = 0.0
    moved_over_mm: float = 0.0

    def length_mm(self, *, hidden: bool) -> float:
        """Length of its parts that are hidden, or seen."""
        return float(sum(np.count_nonzero(course.hidden == hidden) for course in self.courses)
                     * STEP_MM)


def draw_courses(tracks: Sequence[tuple[tuple[Course, ...], CourseStyle, str]]
                 ) -> tuple[DrawnCourses, ...]:
    """Draw tracks, each kept clear of those before it.

    Parameters
    ----------
    tracks : sequence of (tuple of Course, CourseStyle, str)
        Their courses, how they are drawn, and what an `InputProblem` names; bottom first.

    Raises
    ------
    InputProblem
        When a name's font lacks a character.

    Notes
    -----
    Courses side by side are moved until the finest gap is between them; where two cross the
    lower one is left out beside the upper one, as wide as that gap.
    """
    laid: list[DrawnCourses] = []
    for courses, style, where in tracks:
        laid.append(_drawn(courses, style, laid, where))
    return tuple(_crossed(track, laid[place + 1:]) for place, track in enumerate(laid))


def _drawn(courses: tuple[Course, ...], style: CourseStyle, below: Sequence[DrawnCourses],
           where: str) -> DrawnCourses:
    width = style.line.width_mm
    others = [(course.points_mm, (width + track.style.line.width_mm) / 2
               + max(style.clear_mm, track.style.clear_mm))
              for track in below for course in track.courses]
    kept: list[Course] = []
    crossings: list[FloatArray] = []
    moved, over = 0.0, 0.0
    for course in courses:
        apart = kept_apart(course, [*others, *((one.points_mm, width + style.finest_mm)
                                               for one in kept)], width + style.finest_mm)
        kept.append(apart.course)
        moved, over = max(moved, apart.moved_mm), over + apart.moved_over_mm
        crossings += [apart.course.points_mm[max(0, first - 4):end + 4]
                      for first, end in apart.crossings]
    area, letters = _stroked(kept, style, where)
    for part in crossings:
        strip = LineString(part).buffer(width / 2 + style.finest_mm, cap_style="flat")
        line = LineString(part).buffer(width / 2, cap_style="flat")
        area = as_area(union_all([area.difference(strip), area.intersection(line)]))
    casing: Area = Polygon()
    if style.casing_mm > 0:
        reach = width / 2 + style.casing_mm
        casing = as_area(union_all([area.buffer(style.casing_mm), *(
            LineString(_thinned(part)).buffer(reach) for course in kept
            for part, hidden in _parts(course, style)
            if not (hidden and style.hidden_line is None))]))
    return DrawnCourses(area=area, casing=casing, courses=tuple(kept), style=style,
                        letters=letters, moved_mm=moved, moved_over_mm=over)


def _stroked(courses: Sequence[Course], style: CourseStyle, where: str
             ) -> tuple[Area, tuple[SetLetter, ...]]:
    parts = [(part, hidden) for course in courses for part, hidden in _parts(course, style)]
    seen = [number for number, (_, hidden) in enumerate(parts) if not hidden]
    longest = max(seen, key=lambda number: len(parts[number][0]), default=-1)
    areas: list[Area] = []
    letters: tuple[SetLetter, ...] = ()
    for number, (part, hidden) in enumerate(parts):
        line = style.hidden_line if hidden else style.line
        if line is None:
            continue
        if number != len(parts) - 1:
            line = replace(line, arrow_mm=0.0)
        drawn = drawn_line(_thinned(part), line, style.name if number == longest else None,
                           where=where)
        areas.append(drawn.area)
        letters += drawn.letters
    return as_area(union_all(areas)) if areas else Polygon(), letters


def _parts(course: Course, style: CourseStyle) -> Iterator[tuple[FloatArray, bool]]:
    """The course's parts in their order, and whether each is hidden."""
    hidden = course.hidden & (style.hidden != "drawn")
    found = [(first, end, kind) for kind in (False, True) for first, end in runs(hidden == kind)]
    for first, end, kind in sorted(found):
        part = course.points_mm[first:end + 1]  # up to where the next one begins
        if len(part) > 1:
            yield part, kind


def _thinned(points: FloatArray) -> FloatArray:
    return np.array(LineString(points).simplify(_NEAR_MM).coords)


def _crossed(track: DrawnCourses, above: Sequence[DrawnCourses]) -> DrawnCourses:
    """A track left out beside those that cross it."""
    strips = [LineString(_thinned(part)).buffer(one.style.line.width_mm / 2 + one.style.finest_mm)
              for one in above for course in one.courses
              for part, hidden in _parts(course, one.style)
              if not (hidden and one.style.hidden_line is None)]
    near = [strip for strip in strips if strip.intersects(track.area)]
    return replace(track, area=as_area(track.area.difference(union_all(near)))) if near else track
