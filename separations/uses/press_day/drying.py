"""How long an ink waits before the next step, as a range that says where it comes from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from preflight.basis import Basis, Source, given
from preflight.job_file.job_tables import InkTable
from preflight.job_file.time_values import WaitingTime

#: ``hit``: until the next hit; ``through``: until it is turned, sanded, varnished or pressed.
Until = Literal["hit", "through"]

_PRACTICE = Source(basis=Basis.PRACTICE, told="the ink's data sheet decides")
#: Minutes, least and most, of an ink that dries in air in a warm, aired room.
_IN_AIR: dict[Until, tuple[float, float]] = {"hit": (20.0, 60.0), "through": (720.0, 1440.0)}
_LAMP = Source(basis=Basis.PRACTICE, told="cured under the lamp; the ink's data sheet decides")
_VARNISH = Source(basis=Basis.PRACTICE, told="the varnish's data sheet decides")
_VARNISH_DRIES = (720.0, 1440.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wait:
    """A time to wait (min), from least to most, and what it rests on."""

    least_min: float
    most_min: float
    source: Source

    @property
    def told(self) -> str:
        """The range in words: minutes under two hours, hours beyond."""
        return range_told(self.least_min, self.most_min)


def waits_for(ink: InkTable, until: Until) -> Wait:
    """How long an ink waits; its data sheet's figure in the job wins over common practice."""
    own: WaitingTime | None = ink.dries_in if until == "hit" else ink.dries_through
    if own is not None:
        return Wait(least_min=own.least_min, most_min=own.most_min,
                    source=given(f"the job's figure for {ink.name}"))
    if ink.cure == "uv":
        return Wait(least_min=0.0, most_min=0.0, source=_LAMP)
    least, most = _IN_AIR[until]
    return Wait(least_min=least, most_min=most, source=_PRACTICE)


def varnish_wait(own: WaitingTime | None) -> Wait:
    """How long a varnish dries; the job's figure wins over common practice."""
    if own is not None:
        return Wait(least_min=own.least_min, most_min=own.most_min,
                    source=given("the job's figure for the varnish"))
    return Wait(least_min=_VARNISH_DRIES[0], most_min=_VARNISH_DRIES[1], source=_VARNISH)


def longest(waits: list[Wait]) -> Wait:
    """The wait of several that ends last."""
    return max(waits, key=lambda wait: (wait.most_min, wait.least_min))


def range_told(least_min: float, most_min: float) -> str:
    """A range of minutes in words."""
    if most_min == 0:
        return "none"
    unit, factor = ("min", 1.0) if most_min < 120 else ("h", 60.0)
    least, most = (f"{minutes / factor:.3g}" for minutes in (least_min, most_min))
    return f"{least} {unit}" if least == most else f"{least} to {most} {unit}"
