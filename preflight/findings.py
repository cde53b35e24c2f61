"""What a check says: a figure, its limit, where the limit comes from, where, and what mends it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from preflight.basis import Source
from preflight.nouns import with_unit


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
        number = f"{self.value:.{digits}f}".replace("-", "−")
        if "." in number:
            number = number.rstrip("0").rstrip(".")
        return f"{self.bound} {with_unit(number, self.unit)}".strip()


def at_least(value: float, unit: str) -> Figure:
    """A limit that figures are not to fall below."""
    return Figure(value=value, unit=unit, bound="at least")


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A box on the board, in board mm; ``told`` is how it is told, unless by its middle."""

    least_x_mm: float
    least_y_mm: float
    greatest_x_mm: float
    greatest_y_mm: float
    told: str = ""

    @property
    def centre_mm(self) -> tuple[float, float]:
        """The middle of the box (x, y)."""
        return ((self.least_x_mm + self.greatest_x_mm) / 2,
                (self.least_y_mm + self.greatest_y_mm) / 2)

    def __str__(self) -> str:
        if self.told:
            return self.told
        x, y = (round(value) for value in self.centre_mm)
        along = f"{abs(x)} mm towards the {'nose' if x > 0 else 'tail'}" if x else "at mid-length"
        across = f"{abs(y)} mm {'left' if y > 0 else 'right'} of" if y else "on"
        return f"{along}, {across} the centre line"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that a check measured.

    Attributes
    ----------
    id : str
        What was looked at, such as ``angle-to-mesh``: never shown alone and never changed, for
        programs that read findings. `preflight.checks.catalogue` lists all.
    check : str
        The same in words.
    subjects : tuple of str
        Names from the job that it is about: inks, files, notes, places; none where it is about
        the job as a whole. Programs read these.
    subject : str
        What was measured, as shown; the subjects one after another unless given.
    grade : Grade
        ``CLEAR`` when the figure keeps its limit.
    says : str
        One sentence.
    measured, limit : Figure
        The figure found and the figure that it is held against.
    source : Source
        Where the limit comes from.
    place : Place or None
        Where on the board; None means all of it.
    mend : str
        What would mend it; empty when clear.
    """

    id: str
    check: str
    subjects: tuple[str, ...] = ()
    subject: str = ""
    grade: Grade
    says: str
    measured: Figure
    limit: Figure
    source: Source
    place: Place | None = None
    mend: str = ""

    @property
    def keys(self) -> tuple[tuple[str, str], ...]:
        """What tells the finding from others, once for each subject: its id and the subject."""
        return tuple((self.id, subject) for subject in self.subjects or ("",))

    def __post_init__(self) -> None:
        if not self.subject:
            object.__setattr__(self, "subject", listed(self.subjects))


def listed(names: Sequence[str]) -> str:
    """Names in a sentence: ``Cyan``, ``Cyan and Black``, ``Yellow, Cyan and Black``."""
    return " and ".join(part for part in (", ".join(names[:-1]), *names[-1:]) if part)


def by_grade(findings: tuple[Finding, ...], grade: Grade) -> tuple[Finding, ...]:
    """The findings of one grade, in their order."""
    return tuple(f for f in findings if f.grade is grade)


def count_stops(findings: tuple[Finding, ...]) -> int:
    """How many findings say stop."""
    return sum(finding.grade is Grade.STOP for finding in findings)


def has_stop(findings: tuple[Finding, ...]) -> bool:
    """Whether any finding says that the films would be waste."""
    return count_stops(findings) > 0
