"""Times to wait, as people write them: ``"30 min"``, ``"2 h"``, ``"20 to 40 min"``."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated

from pydantic import PlainValidator

from preflight.job_file.job_values import ValueFault

_MINUTES = {"min": 1.0, "h": 60.0, "days": 1440.0, "day": 1440.0}
_WRITTEN = re.compile(r"(\d+(?:\.\d+)?)(?:\s*(?:to|-|–)\s*(\d+(?:\.\d+)?))?\s*(min|h|days?)")
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
