"""Places on the board as a job file writes them: a spot, or a ring of points, as lengths."""

from __future__ import annotations

from typing import Annotated

from pydantic import PlainValidator

from preflight import units
from preflight.job_file.job_values import ValueFault

#: Own rules, no source: a place lies on or near a board; a ring is drawn, not scanned.
_FARTHEST_MM = 3000.0
_FEWEST_POINTS, _MOST_POINTS = 3, 2000

SpotOnBoard = tuple[units.Length, units.Length]


def _spot(value: object) -> SpotOnBoard:
    asked = "x and y as two lengths such as [\"-12 cm\", \"35 mm\"], each within 3 m,"
    if not isinstance(value, list) or len(value) != 2:
        raise ValueFault(asked)
    try:
        along, across = (units.length(part) for part in value)
    except units.UnitFault:
        raise ValueFault(asked) from None
    if max(abs(along.mm), abs(across.mm)) > _FARTHEST_MM:
        raise ValueFault(asked)
    return along, across


def _ring(value: object) -> tuple[SpotOnBoard, ...]:
    if not isinstance(value, list) or not _FEWEST_POINTS <= len(value) <= _MOST_POINTS:
        raise ValueFault(f"a list of {_FEWEST_POINTS} to {_MOST_POINTS} points such as "
                         "[[\"0 mm\", \"0 mm\"], [\"5 cm\", \"0 mm\"], [\"5 cm\", \"3 cm\"]]")
    return tuple(_spot(point) for point in value)


Spot = Annotated[SpotOnBoard, PlainValidator(_spot)]
Ring = Annotated[tuple[SpotOnBoard, ...], PlainValidator(_ring)]
