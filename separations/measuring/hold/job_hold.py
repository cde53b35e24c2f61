"""What the mesh holds of a whole job: its inks' dots, its drawings' lines and its letters."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from preflight.facts.mesh_hold_facts import HoldFacts
from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from separations.halftone.film_content import FilmContent
from separations.measuring.hold.halftone_hold import WINDOWS, HalftoneHold, measure_halftone
from separations.measuring.hold.lettering_on_film import LetteringOnFilm
from separations.measuring.hold.line_hold import SheetHold, measure_sheet
from separations.planes.line_work import LineWork
from separations.planes.overlays import Overlay

#: Windows over the board for a quick look.
_QUICK_WINDOWS = 48


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MeshHold:
    """A job's facts, and what its map is drawn from.

    Attributes
    ----------
    facts : HoldFacts
        For the checks.
    halftones : dict of str to HalftoneHold
        By ink, for inks that print the photograph or its underbase.
    lines : tuple of SheetHold
        By picture of line work.
    lettering : tuple of LetteringOnFilm
        By note or drawing, and film.
    """

    facts: HoldFacts
    halftones: dict[str, HalftoneHold]
    lines: tuple[SheetHold, ...]
    lettering: tuple[LetteringOnFilm, ...] = ()


def measure_dots(job: Job, ink: InkTable, content: FilmContent, *,
                 quick: bool = False) -> HalftoneHold:
    """Measure one film's own dots and holes against the mesh that is to carry them.

    Parameters
    ----------
    job, ink : Job, InkTable
        The job, and an ink that prints the photograph or its underbase.
    content : FilmContent
        Its film.
    quick : bool
        Whether this is a quick look, at few windows.
    """
    return measure_halftone(content, job.mesh_of(ink), ink.name,
                            _QUICK_WINDOWS if quick else WINDOWS)


def measure_drawn_lines(job: Job, overlays: tuple[Overlay, ...],
                        contents: Sequence[FilmContent]) -> tuple[SheetHold, ...]:
    """Measure line work in pictures on its films; other drawings measure themselves.

    Parameters
    ----------
    job, overlays : Job, tuple of Overlay
        The job, and all that lies over its photographs.
    contents : sequence of FilmContent
        All inks' films, in print order.
    """
    films = {ink.name: (ink, content) for ink, content in zip(job.ink, contents, strict=True)}
    held = []
    for overlay in overlays:
        if isinstance(overlay, LineWork):
            ink, content = films[overlay.table.ink or ""]
            held.append(measure_sheet(overlay, content, job.mesh_of(ink), ink.name))
    return tuple(held)


def gathered_hold(job: Job, dots: Sequence[HalftoneHold | None], lines: tuple[SheetHold, ...],
                  lettering: tuple[LetteringOnFilm, ...], blank: Sequence[bool]) -> MeshHold:
    """All that was measured of a job's films.

    Parameters
    ----------
    job : Job
        Its inks' names.
    dots : sequence of HalftoneHold or None
        One for each ink, in print order; None for inks without a halftone.
    lines, lettering
        What was measured of its drawings.
    blank : sequence of bool
        Whether its films are without a dot, in print order.
    """
    halftones = {ink.name: held for ink, held in zip(job.ink, dots, strict=True) if held}
    return MeshHold(
        facts=HoldFacts(inks=tuple(held.facts for held in halftones.values()),
                        lines=tuple(hold for one in lines for hold in one.lines),
                        faint=tuple(one.faint for one in lines),
                        lettering=tuple(one.facts for one in lettering),
                        blank_films=tuple(ink.name for ink, none in zip(
                            job.ink, blank, strict=True) if none)),
        halftones=halftones, lines=lines, lettering=lettering)
