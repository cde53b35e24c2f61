"""Notes on the board: lettering, the line to what it tells of, and a dot there."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, Point, Polygon, affinity, box, union_all

from preflight.board.area_mask import Area
from preflight.job_file.job_tables import NoteTable
from preflight.job_file.line_table import LineTable
from preflight.job_file.track_tables import PlanTable, TrackTable
from preflight.vector_art.lettering import Face, SetLetter, letters_through, set_words
from preflight.vector_art.ring_area import as_area

#: Cap height of a note that gives no size (mm): about 12 pt type, legible at arm's length.
#: Common practice, no source.
CAP_HEIGHT_MM = 3.0
#: Clear space between lettering and its line, in cap heights. Own rule, no source.
_CLEAR = 0.45
_ROUND = 64


def note_area(note: NoteTable, face: Face, *, where: str) -> Area:
    """A note as an area in board mm.

    Parameters
    ----------
    note : NoteTable
        What the job says of it.
    face : Face
        The font.
    where : str
        What an `InputProblem` names.

    Raises
    ------
    InputProblem
        When the font lacks a character.
    """
    letters = set_words(note.text, face, type_size_mm(note, face), where=f"{where}.text")
    capital = type_size_mm(note, face) * face.cap_height_em
    matrix = _board_of_words(note, letters.advance, capital)

    def placed(shape: Area) -> Area:
        (a, b, x), (c, d, y), _ = matrix
        moved: Area = affinity.affine_transform(shape, [a, b, c, d, x, y])
        return moved

    pieces: list[Area] = [placed(letters.area)]
    room = placed(box(0, 0, letters.advance, capital).buffer(_CLEAR * capital, join_style="mitre"))
    at = Point(note.at[0].mm, note.at[1].mm)
    if note.dot.mm > 0 and not room.contains(at):
        pieces.append(at.buffer(note.dot.mm / 2, quad_segs=_ROUND))
    leader = _leader(at, room)
    if note.leader.mm > 0 and leader is not None:
        pieces.append(leader.buffer(note.leader.mm / 2, quad_segs=_ROUND))
    return as_area(union_all(pieces))


def note_letters(note: NoteTable, face: Face, *, where: str) -> tuple[SetLetter, ...]:
    """A note's letters one by one, where they lie on the board (mm); faults as in `note_area`."""
    em = type_size_mm(note, face)
    letters = set_words(note.text, face, em, where=f"{where}.text")
    return letters_through(letters.each, _board_of_words(note, letters.advance,
                                                         em * face.cap_height_em))


def _board_of_words(note: NoteTable, advance: float, capital: float) -> NDArray[np.float64]:
    """From words on their baseline to the board, (3, 3).

    Upright, words run to the right of the nose-up board (−y) and stand towards the nose (+x).
    """
    label_x, label_y = note.label_mm
    turn = math.radians(note.turn.deg)
    cos, sin = round(math.cos(turn), 12), round(math.sin(turn), 12)
    centred = np.array([[1, 0, -advance / 2], [0, 1, -capital / 2], [0, 0, 1]])
    return np.asarray(np.array([[sin, cos, label_x], [-cos, sin, label_y], [0, 0, 1]]) @ centred)


def type_size_mm(words: NoteTable | LineTable | TrackTable | PlanTable, face: Face) -> float:
    """The type size of a note, of a line's or track's name or of a plan: one em in mm."""
    if words.type_size is not None:
        return words.type_size.mm
    capital = words.cap_height.mm if words.cap_height is not None else CAP_HEIGHT_MM
    return capital / face.cap_height_em


def _leader(at: Point, room: Area) -> LineString | None:
    """The line from the point to the nearest middle of the lettering's four sides."""
    if room.distance(at) == 0:
        return None
    assert isinstance(room, Polygon)
    corners = list(room.exterior.coords)[:4]
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
               for a, b in zip(corners, corners[1:] + corners[:1], strict=True)]
    nearest = min(middles, key=lambda m: math.dist(m, (at.x, at.y)))
    return LineString([(at.x, at.y), nearest])
