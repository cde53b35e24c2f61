"""What a run has made and measured: all that the report and the operator's sheet may show."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from preflight.facts.submission import Submission
from preflight.findings import Finding
from separations.colour.light_changes import LightChange
from separations.films.film_made import FilmMade
from separations.ink_need.ink_estimate import InkEstimate
from separations.ink_need.ink_orders import InkOrder
from separations.proof.colour_reach import ColourReach
from separations.proof.shown_pictures import ReportPicture, ReportTable


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """A run's result.

    Attributes
    ----------
    films : tuple of FilmMade
        Empty when they were withheld or not asked for.
    withheld : bool
        Whether a stop finding kept the films from being made.
    orders : tuple of InkOrder
        The inks held against the stock list that the job names; empty where it names none.
    remarks : tuple of str
        What was assumed when reading outline and art.
    revision : str
        The job in eight letters, as on its films.
    printed : str
        What one pull prints, and what the ink is told for: a board, or all of a gang.
    extra_pictures, extra_tables : tuple of ReportPicture, tuple of ReportTable
        What checks and other steps add to the page, in the order of the page.
    light_changes : tuple of LightChange
        What other lights that a proof was asked for do to wood, inks and overprints.
    """

    submission: Submission
    findings: tuple[Finding, ...]
    films: tuple[FilmMade, ...]
    withheld: bool
    estimates: tuple[InkEstimate, ...]
    colour: ColourReach | None
    orders: tuple[InkOrder, ...] = ()
    remarks: tuple[str, ...] = ()
    revision: str = ""
    printed: Literal["board", "pull"] = "board"
    extra_pictures: tuple[ReportPicture, ...] = ()
    extra_tables: tuple[ReportTable, ...] = ()
    light_changes: tuple[LightChange, ...] = ()
