"""A plan of the job's tracks: a local map with a scale bar and north, laid on the board."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from shapely import LineString, Polygon, affinity, box, union_all

from preflight.board.area_mask import Area
from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.track_tables import PlanTable
from preflight.tracks.course import Course, even_course
from preflight.tracks.local_frame import LocalFrame
from preflight.tracks.track_points import FloatArray
from preflight.vector_art.drawn_art import DrawnArt
from preflight.vector_art.lettering import SHIPPED_FONT, Face, letters_through, open_face, set_words
from preflight.vector_art.notes import type_size_mm
from preflight.vector_art.ring_area import as_area
from separations.planes.seen_tracks import recorded

#: Scales that a plan takes of itself, in tens, hundreds and so on; and lengths of its scale bar.
_SCALES = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.5, 10.0)
_BARS = (5.0, 2.0, 1.0)
#: Own rules, no source: the bar's longest part of the width, its height, and the room beneath the
#: map, in cap heights.
_BAR_SHARE, _BAR_HIGH, _STRIP, _GAP = 0.4, 0.45, 3.6, 0.6
_FIELDS = 4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlanDrawing:
    """A plan on the board.

    Attributes
    ----------
    numbers : tuple of int
        Places, from 0, of the job's tracks on it.
    courses : tuple of tuple of Course
        Each track's courses in board mm.
    furniture : DrawnArt
        Scale bar and north.
    """

    numbers: tuple[int, ...]
    courses: tuple[tuple[Course, ...], ...]
    furniture: DrawnArt


def plan_of(job: Job) -> PlanDrawing:
    """Lay the job's tracks out as a plan.

    Raises
    ------
    InputProblem
        When a track cannot be read, none of them moves, or the plan's room is too small for the
        scale that the job asks for.

    Notes
    -----
    The map is a transverse Mercator projection about the first point's meridian (PROJ): 50 km off
    it lengths are true to 1 in 30,000. North is that of this meridian.
    """
    table = job.plan
    assert table is not None
    numbers = tuple(n for n, track in enumerate(job.track) if track.on != "photo")
    points = [recorded(job, number) for number in numbers]
    latitude = np.concatenate([one.latitude_deg for one in points])
    longitude = np.concatenate([one.longitude_deg for one in points])
    frame = LocalFrame(float(latitude.min() + latitude.max()) / 2,
                       float(longitude[0]), 0.0)
    maps = [frame.flat_map_of(one.latitude_deg, one.longitude_deg) for one in points]
    low, high = np.vstack(maps).min(axis=0), np.vstack(maps).max(axis=0)
    face = open_face(job.beside(table.font) if table.font else SHIPPED_FONT)
    capital = type_size_mm(table, face) * face.cap_height_em
    room = np.array([table.width.mm, table.height.mm - _STRIP * capital])
    scale = _scale(job, table, high - low, room)
    mm_per_m = 1000.0 / scale
    corner = -np.array([table.width.mm, table.height.mm]) / 2
    middle = corner + [0, _STRIP * capital] + room / 2
    matrix = _board_of_plan(table)
    courses = []
    for number, one, mapped in zip(numbers, points, maps, strict=True):
        at = middle + mm_per_m * (mapped - (low + high) / 2)
        board = at @ matrix[:2, :2].T + matrix[:2, 2]
        made = [even_course(board[own], np.zeros(np.count_nonzero(own), bool),
                            job.track[number].tolerance.mm)
                for own in (one.stretch == part for part in dict.fromkeys(one.stretch.tolist()))
                if np.count_nonzero(own) > 1]
        courses.append(tuple(course for course in made if course is not None))
    return PlanDrawing(numbers=numbers, courses=tuple(courses),
                       furniture=_furniture(job, table, face, mm_per_m, matrix))


def _scale(job: Job, table: PlanTable, size_m: FloatArray, room_mm: FloatArray) -> float:
    """How many times smaller the plan is."""
    where = f"{job.path}: plan"
    if (room_mm <= 0).any():
        raise InputProblem(where=f"{where}.height", found=f"'{table.height.written}'",
                           would_do="more height, or a smaller 'cap_height',")
    least = float((size_m * 1000 / room_mm).max())
    if not least > 0:
        raise InputProblem(where=where, found="tracks that stay in one place",
                           would_do="tracks that move")
    if table.scale is not None:
        if table.scale < least:
            raise InputProblem(where=f"{where}.scale", found=f"1:{table.scale}, too large for its "
                               "width and height", would_do=f"1:{math.ceil(least)} or smaller")
        return float(table.scale)
    power = 10.0 ** math.floor(math.log10(least))
    return next(step * power for step in _SCALES if step * power >= least)


def _board_of_plan(table: PlanTable) -> FloatArray:
    """From the plan as one reads it (right, up, from its middle) to the board, (3, 3)."""
    turn = math.radians(table.turn.deg)
    cos, sin = round(math.cos(turn), 12), round(math.sin(turn), 12)
    return np.array([[sin, cos, table.at[0].mm], [-cos, sin, table.at[1].mm], [0, 0, 1]])


def _furniture(job: Job, table: PlanTable, face: Face, mm_per_m: float,
               matrix: FloatArray) -> DrawnArt:
    """Scale bar, its length in words, and an arrow to the north."""
    em = type_size_mm(table, face)
    capital, where = em * face.cap_height_em, f"{job.path}: plan"
    left, low = -table.width.mm / 2, -table.height.mm / 2
    metres = _bar_m(_BAR_SHARE * table.width.mm / mm_per_m)
    words = set_words(f"{metres / 1000:g} km" if metres >= 1000 else f"{metres:g} m", face, em,
                      where=where)
    pen, high = table.line.mm, _BAR_HIGH * capital
    frame = box(left, low, left + metres * mm_per_m, low + high + 2 * pen)
    field = (frame.bounds[2] - frame.bounds[0] - 2 * pen) / _FIELDS
    inner = [box(left + pen + n * field, low + pen, left + pen + (n + 1) * field, low + pen + high)
             for n in range(1, _FIELDS, 2)]
    shift = (left, low + high + 2 * pen + _GAP * capital)
    north = set_words("N", face, em, where=where)
    right = table.width.mm / 2 - capital
    arrow = _north(right, low, capital, pen)
    letter_at = (right - north.advance / 2, low + 2.2 * capital)
    shapes = [frame.difference(union_all(inner)), affinity.translate(words.area, *shift), arrow,
              affinity.translate(north.area, *letter_at)]
    (a, b, x), (c, d, y), _ = matrix
    letters = tuple(
        letter for set_, (to_x, to_y) in ((words, shift), (north, letter_at))
        for letter in letters_through(set_.each, matrix @ np.array(
            [[1, 0, to_x], [0, 1, to_y], [0, 0, 1.0]])))
    return DrawnArt(
        subject="scale bar and north", kind="plan", order=0, ink=table.ink, tint=1.0,
        knocks_out=table.beneath == "knock out", letters=letters, type_mm=em, capital_mm=capital,
        area=as_area(affinity.affine_transform(union_all(shapes), [a, b, c, d, x, y])))


def _bar_m(most_m: float) -> float:
    power = 10.0 ** math.floor(math.log10(most_m))
    return next((step * power for step in _BARS if step * power <= most_m), power)


def _north(x: float, low: float, capital: float, pen: float) -> Area:
    """A shaft with a head, pointing up."""
    shaft = LineString([(x, low), (x, low + 1.4 * capital)]).buffer(pen / 2, cap_style="flat")
    top, half = low + 2.0 * capital, 0.3 * capital
    head = Polygon([(x, top), (x + half, top - 0.9 * capital), (x - half, top - 0.9 * capital)])
    return as_area(union_all([shaft, head]))
