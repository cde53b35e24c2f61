"""The kinds of value that say where on the earth, on a photograph and in a recording."""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass
from typing import Annotated

from pydantic import PlainValidator

from preflight import units
from preflight.job_file import job_values as v

#: Own rules, no source: heights on land and what flies over it; parts that are cut by hand.
_LOWEST_MM, _HIGHEST_MM = -1.0e6, 1.0e7
_MOST_PARTS = 200
_MOST_POINTS = 1_000_000
_PIXELS = re.compile(r"(\d+(?:\.\d+)?)\s*px")


@dataclass(frozen=True, slots=True)
class PhotoPlace:
    """A place along one side of a photograph, and the words it was written in.

    Attributes
    ----------
    value : float
        Pixels from the left or top edge, or a share (0 to 1) of the side.
    is_share : bool
        Whether it is a share.
    written : str
        As the job has it.
    """

    value: float
    is_share: bool
    written: str

    def pixels(self, side_px: float) -> float:
        """The place in pixels of a side of so many."""
        return self.value * side_px if self.is_share else self.value


def _photo_place(value: object) -> PhotoPlace:
    found = _PIXELS.fullmatch(value.strip()) if isinstance(value, str) else None
    if found is not None:
        return PhotoPlace(float(found[1]), False, str(value).strip())
    share = units.share(value)
    if not 0 <= share.fraction <= 1:
        raise units.UnitFault
    return PhotoPlace(share.fraction, True, share.written)


def _photo_spot(value: object) -> tuple[PhotoPlace, PhotoPlace]:
    asked = ("two distances, from the photo's left and top edge, such as [\"3120 px\", \"455 px\"] "
             "or [\"52.1 %\", \"30.4 %\"],")
    if not isinstance(value, list) or len(value) != 2:
        raise v.ValueFault(asked)
    try:
        across, down = (_photo_place(part) for part in value)
    except units.UnitFault:
        raise v.ValueFault(asked) from None
    return across, down


def _moment(value: object) -> datetime.datetime:
    if not isinstance(value, datetime.datetime) or value.tzinfo is None:
        raise v.ValueFault("a time with its zone, such as 2026-06-01T09:30:00Z,")
    return value


def _point_parts(value: object) -> tuple[tuple[int, int], ...]:
    asked = "pairs of a first and a last point, such as [[120, 180], [260, 300]],"
    if not isinstance(value, list) or len(value) > _MOST_PARTS:
        raise v.ValueFault(asked)
    parts = []
    for part in value:
        if not isinstance(part, list) or len(part) != 2 or not all(
                isinstance(n, int) and not isinstance(n, bool) and 1 <= n <= _MOST_POINTS
                for n in part) or part[0] > part[1]:
            raise v.ValueFault(asked)
        parts.append((part[0], part[1]))
    return tuple(parts)


def _count(most: int, asked: str) -> PlainValidator:
    def validate(value: object) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= most:
            raise v.ValueFault(asked)
        return value

    return PlainValidator(validate)


PhotoSpot = Annotated[tuple[PhotoPlace, PhotoPlace], PlainValidator(_photo_spot)]
Moment = Annotated[datetime.datetime, PlainValidator(_moment)]
PointParts = Annotated[tuple[tuple[int, int], ...], PlainValidator(_point_parts)]
PointNumber = Annotated[int, _count(_MOST_POINTS, "the number of a point, from 1,")]
TrackNumber = Annotated[int, _count(10_000, "the number of a track in the file, from 1,")]
PlanScale = Annotated[int, _count(10_000_000, "a whole number such as 25000 for 1:25000")]
Latitude = Annotated[float, v.bounded(
    v.number, lambda q: q, -89.9, 89.9,
    "degrees north such as 61.2345, -89.9 to 89.9 (south is negative),")]
Longitude = Annotated[float, v.bounded(
    v.number, lambda q: q, -180, 180,
    "degrees east such as 4.5678, -180 to 180 (west is negative),")]
GroundHeight = Annotated[units.Length, v.bounded(
    units.length, lambda q: q.mm, _LOWEST_MM, _HIGHEST_MM,
    "a height such as '84 m', between -1000 m and 10000 m,")]
Tolerance = Annotated[units.Length, v.bounded(
    units.length, lambda q: q.mm, 0, 10, "a tolerance such as '0.3 mm', up to 10 mm,")]
