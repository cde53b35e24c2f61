"""What the mesh holds of a whole job: its inks' dots, its drawings' lines and its letters."""

from __future__ import annotations

from dataclasses import dataclass

from preflight.facts.mesh_hold_facts import HoldFacts
from separations.films.film_set import film_contents, job_sheet
from separations.measuring.hold.halftone_hold import WINDOWS, HalftoneHold, measure_halftone
from separations.measuring.hold.lettering_on_film import LetteringOnFilm, measure_lettering
from separations.measuring.hold.line_hold import SheetHold, measure_sheet
from separations.planes.art_separation import ArtSeparation
from separations.planes.laid_out_job import LaidOutJob
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


def measure_hold(
    laid: LaidOutJob, separation: ArtSeparation, overlays: tuple[Overlay, ...], *,
    quick: bool = False,
) -> MeshHold:
    """Measure the films' own dots and lines against the meshes that are to carry them.

    Parameters
    ----------
    laid : LaidOutJob
        The job on its board.
    separation : ArtSeparation
        Its photographs.
    overlays : tuple of Overlay
        All that lies over them; line work in pictures is measured, and letters that are set;
        other drawings measure themselves.
    quick : bool
        Whether all this is a quick look: few windows, line work too coarse to be measured, and
        letters left out.
    """
    contents = {ink.name: content for ink, content in film_contents(
        laid, separation, overlays, job_sheet(laid).art_grid)}
    inks = {ink.name: ink for ink in laid.job.ink}
    halftones = {
        name: measure_halftone(contents[name], laid.job.mesh_of(ink), name,
                               _QUICK_WINDOWS if quick else WINDOWS)
        for name, ink in inks.items() if separation.tones_of(ink, laid.job) is not None}
    lines = []
    for overlay in () if quick else overlays:
        if not isinstance(overlay, LineWork):
            continue
        name = overlay.table.ink or ""
        lines.append(measure_sheet(overlay, contents[name], laid.job.mesh_of(inks[name]), name))
    lettering = () if quick else measure_lettering(laid, overlays, contents)
    return MeshHold(
        facts=HoldFacts(inks=tuple(h.facts for h in halftones.values()),
                        lines=tuple(hold for s in lines for hold in s.lines),
                        faint=tuple(s.faint for s in lines),
                        lettering=tuple(one.facts for one in lettering)),
        halftones=halftones, lines=tuple(lines), lettering=lettering)
