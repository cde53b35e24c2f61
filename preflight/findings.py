"""What a check says: a figure, its limit, where the limit comes from, where, and what mends it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Grade(Enum):
    """How much a finding matters. ``CLEAR`` is a check that found nothing wrong."""

    STOP = "stop"
    CARE = "care"
    NOTE = "note"
    CLEAR = "clear"


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A number with its unit, as shown: ``Figure(2.1, 'px per line')``.

    Attributes
    ----------
    value : float
        In ``unit``.
    unit : str
        As shown after the number.
    bound : str
        What stands before a limit that is a minimum: ``at least``; else empty.
    """

    value: float
    unit: str
    bound: str = ""

    def __str__(self) -> str:
        size = abs(self.value)
        digits = 0 if size >= 100 else 1 if size >= 10 else 2
        number = f"{self.value:.{digits}f}"
        if "." in number:
            number = number.rstrip("0").rstrip(".")
        return f"{self.bound} {number} {self.unit}".strip()


def at_least(value: float, unit: str) -> Figure:
    """A limit that figures are not to fall below."""
    return Figure(value=value, unit=unit, bound="at least")


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A box on the board, in board mm."""

    least_x_mm: float
    least_y_mm: float
    greatest_x_mm: float
    greatest_y_mm: float

    @property
    def centre_mm(self) -> tuple[float, float]:
        """The middle of the box (x, y)."""
        return ((self.least_x_mm + self.greatest_x_mm) / 2,
                (self.least_y_mm + self.greatest_y_mm) / 2)

    def __str__(self) -> str:
        x, y = (round(value) for value in self.centre_mm)
        along = f"{abs(x)} mm towards the {'nose' if x > 0 else 'tail'}" if x else "at mid-length"
        across = f"{abs(y)} mm {'left' if y > 0 else 'right'} of" if y else "on"
        return f"{along}, {across} the centre line"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that a check measured.

    Attributes
    ----------
    check : str
        The check's name, in words, the same for each job.
    subject : str
        What was measured: an ink, an artwork, the film, the frame.
    grade : Grade
        ``CLEAR`` when the figure keeps its limit.
    says : str
        One sentence.
    measured, limit : Figure
        The figure found and the figure that it is held against.
    source : str
        Where the limit comes from.
    place : Place or None
        Where on the board; None means all of it.
    mend : str
        What would mend it; empty when clear.
    """

    check: str
    subject: str
    grade: Grade
    says: str
    measured: Figure
    limit: Figure
    source: str
    place: Place | None = None
    mend: str = ""


def by_grade(findings: tuple[Finding, ...], grade: Grade) -> tuple[Finding, ...]:
    """The findings of one grade, in their order."""
    return tuple(f for f in findings if f.grade is grade)


def has_stop(findings: tuple[Finding, ...]) -> bool:
    """Whether any finding says that the films would be waste."""
    return any(f.grade is Grade.STOP for f in findings)
