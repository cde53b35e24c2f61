"""The tables of a job file about the pressed board: its side profile, and what is fixed to it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from preflight.job_file import job_values as v
from preflight.job_file.job_values import Ring, Spot
from preflight.units import Length

UnderInk = Literal["off", "over"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ProfileTable:
    """``[profile]``: the pressed board seen from its side, by a table of points or by figures.

    ``points`` is a table of x and z. The figures are heights over the contact points and lengths
    as seen from above; a negative ``camber`` is a board that touches at mid-length.
    """

    points: v.Text | None = None
    points_unit: Literal["mm", "cm", "in"] = "mm"
    camber: v.BendHeight | None = None
    nose_rise: v.SmallLength | None = None
    nose_length: v.ArtWidth | None = None
    tail_rise: v.SmallLength | None = None
    tail_length: v.ArtWidth | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class InsertsTable:
    """``[inserts]``: the bindings' threaded inserts (M6), mid-stance ``set_back`` to the tail.

    ``holes_in_row`` is counted for one foot: 3 of a 4x4 pattern, 6 of a 4x2 unless given.
    The hole is a clearance hole for M6, medium series (ISO 273, from memory, unverified).
    """

    pattern: Literal["4x2", "4x4"]
    stance: v.Stance
    set_back: v.Offset = Length(0.0, "0 mm")
    holes_in_row: v.HolesInRow | None = None
    hole: v.SmallLength = Length(6.6, "6.6 mm")
    clearance: v.SmallLength = Length(1.0, "1 mm")
    ink: UnderInk = "over"
    binding_disc: v.SmallLength = Length(100.0, "100 mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepOutTable:
    """``[[keep_out]]``: a ring of points, or a circle, that takes no ink or no art that matters."""

    name: v.Text
    ring: Ring | None = None
    at: Spot | None = None
    diameter: v.ArtWidth | None = None
    ink: UnderInk = "off"


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportantTable:
    """``[[important]]``: a part of the art that must be seen whole, such as lettering or a face."""

    name: v.Text
    ring: Ring | None = None
    at: Spot | None = None
    diameter: v.ArtWidth | None = None
