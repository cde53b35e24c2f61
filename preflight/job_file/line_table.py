"""The table of a job file for lines drawn on the board."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import PlainValidator

from preflight.job_file import job_values as v
from preflight.job_file.job_tables import Beneath
from preflight.job_file.job_values import SpotOnBoard, ValueFault, spot
from preflight.units import Length, UnitFault, length

#: Own rules, no source: a line is drawn by hand, and its dashes are counted on one.
_MOST_POINTS, _MOST_DASHES = 2000, 12
_LEAST_DASH_MM, _MOST_DASH_MM = 0.05, 200.0

NameStands = Literal["above", "on", "below"]


def _points(value: object) -> tuple[SpotOnBoard, ...]:
    if not isinstance(value, list) or not 2 <= len(value) <= _MOST_POINTS:
        raise ValueFault(f"a list of 2 to {_MOST_POINTS} points such as "
                         "[[\"0 mm\", \"0 mm\"], [\"5 cm\", \"3 cm\"]]")
    return tuple(spot(point) for point in value)


def _dashes(value: object) -> tuple[Length, ...]:
    asked = (f"a list of 2 to {_MOST_DASHES} lengths, dashes and gaps in turn, such as "
             "[\"4 mm\", \"2 mm\"],")
    if not isinstance(value, list) or len(value) not in range(0, _MOST_DASHES + 1, 2):
        raise ValueFault(asked)
    try:
        lengths = tuple(length(part) for part in value)
    except UnitFault:
        raise ValueFault(asked) from None
    if not all(_LEAST_DASH_MM <= part.mm <= _MOST_DASH_MM for part in lengths):
        raise ValueFault("dashes and gaps between 0.05 mm and 20 cm")
    return lengths


LinePoints = Annotated[tuple[SpotOnBoard, ...], PlainValidator(_points)]
Dashes = Annotated[tuple[Length, ...], PlainValidator(_dashes)]


@dataclass(frozen=True, slots=True, kw_only=True)
class LineTable:
    """``[[line]]``: a line drawn on the board, over all art and beneath the notes.

    It runs through its ``points``, x towards the nose and y to the left of the nose-up board,
    from each straight to the next or ``smooth``. ``dashes`` are dashes and gaps by turns; none
    draws it whole. ``arrow`` is the length of an arrow head at its last point, 0 for none.
    ``name`` is set along it, its middle at ``name_at`` of the line's length, ``above`` it as one
    reads, ``below``, or ``on`` it with the line left out there. It reads towards the nose, or,
    where the line runs across the board, to the right of the nose-up board. ``cap_height`` or
    ``type_size`` says how large it is.
    """

    points: LinePoints
    ink: v.Text
    smooth: v.YesOrNo = False
    width: v.LineLength = Length(0.4, "0.4 mm")
    dashes: Dashes = ()
    arrow: v.LineLength = Length(0.0, "0 mm")
    name: v.Text | None = None
    name_at: v.ShareValue = v.HALF
    name_stands: NameStands = "above"
    cap_height: v.TypeLength | None = None
    type_size: v.TypeLength | None = None
    beneath: Beneath = "knock out"
    font: v.Text | None = None
