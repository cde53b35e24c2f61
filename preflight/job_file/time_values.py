"""Times to wait, as people write them: ``"30 min"``, ``"2 h"``, ``"20 to 40 min"``."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated

from pydantic import PlainValidator

from preflight.job_file.job_values import ValueFault

_MINUTES = {"min": 1.0, "h": 60.0, "days": 1440.0, "day": 1440.0}
_WRITTEN = re.compile(r"(\d+(?:\.\d+)?)(?:\s*(?:to|-|–)\s*(\d+(?:\.\d+)?))?\s*(min|h|days?)")
_LAMP = re.compile(r"(\d+(?:\.\d+)?)\s*(s|min)")
#: Longest time that a job may ask for (min): four weeks.
_MOST_MIN = 4 * 7 * 1440.0


@dataclass(frozen=True, slots=True)
class WaitingTime:
    """A time from the least to the most (min), and the words it was written in."""

    least_min: float
    most_min: float
    written: str


def waiting_time(value: object) -> WaitingTime:
    """Read a time or a range of times.

    Raises
    ------
    ValueFault
        When it is none, or longer than four weeks.
    """
    asked = ("a time such as \"30 min\" or \"20 to 40 min\", in min, h or days, up to 28 days,")
    found = _WRITTEN.fullmatch(value.strip()) if isinstance(value, str) else None
    if found is None:
        raise ValueFault(asked)
    least = float(found[1]) * _MINUTES[found[3]]
    most = float(found[2]) * _MINUTES[found[3]] if found[2] else least
    if not least <= most <= _MOST_MIN:
        raise ValueFault(asked)
    return WaitingTime(least, most, " ".join(found[0].split()))


WaitingValue = Annotated[WaitingTime, PlainValidator(waiting_time)]


@dataclass(frozen=True, slots=True)
class LampTime:
    """How long a stencil is in the lamp's light (s), and the words it was written in."""

    seconds: float
    written: str


def lamp_time(value: object) -> LampTime:
    """Read a time such as ``"40 s"`` or ``"2.5 min"``.

    Raises
    ------
    ValueFault
        When it is none, or beyond one second to an hour.
    """
    asked = "a time such as \"40 s\" or \"2.5 min\", between 1 s and 60 min,"
    found = _LAMP.fullmatch(value.strip()) if isinstance(value, str) else None
    seconds = float(found[1]) * (60.0 if found[2] == "min" else 1.0) if found else 0.0
    if found is None or not 1.0 <= seconds <= 3600.0:
        raise ValueFault(asked)
    return LampTime(seconds, " ".join(found[0].split()))


LampValue = Annotated[LampTime, PlainValidator(lamp_time)]
