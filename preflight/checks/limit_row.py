"""One limit that checks hold figures against: its value, and what it rests on."""

from __future__ import annotations

from dataclasses import dataclass

from preflight.basis import Basis, Source
from preflight.findings import Figure, at_least


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One limit.

    Attributes
    ----------
    name : str
        What is limited, in words.
    value : float
        The limit, in ``unit``.
    unit : str
        As findings show it.
    basis : Basis
        What it rests on.
    told : str
        Where it stands, or what is to be said of it.
    """

    name: str
    value: float
    unit: str
    basis: Basis
    told: str

    @property
    def source(self) -> Source:
        """What the limit rests on."""
        return Source(basis=self.basis, told=self.told)

    @property
    def figure(self) -> Figure:
        """The limit as findings hold it."""
        return Figure(value=self.value, unit=self.unit)

    @property
    def least(self) -> Figure:
        """The limit as findings hold it, where figures are not to fall below it."""
        return at_least(self.value, self.unit)


def row(name: str, value: float, unit: str, basis: Basis, told: str = "") -> Limit:
    """A row of the table of limits, written on one line."""
    return Limit(name=name, value=value, unit=unit, basis=basis, told=told)
