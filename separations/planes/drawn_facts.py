"""What of the drawings and notes is too fine, too near the edge or in each other's way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from shapely import Polygon, get_parts

from preflight.board.area_mask import Area
from preflight.facts.submission import DrawingFacts, LineFacts, place_of
from preflight.findings import Place
from preflight.units import POINTS_PER_MM
from preflight.vector_art.ring_area import as_area
from separations.planes.drawn_contrast import FloatArray, PrintedGround, points_beside
from separations.planes.laid_out_job import LaidOutJob
from separations.planes.line_work import LineWork
from separations.planes.overlays import Overlay, VectorWork
from separations.planes.traps import gaps_narrower_than, narrower_than

#: A line of fewer film pixels is one pixel more or less by chance. Own rule, no source.
_LEAST_LINE_PIXELS = 2


def measure_drawn(
    laid: LaidOutJob, ground: PrintedGround, works: tuple[VectorWork, ...],
) -> tuple[DrawingFacts, ...]:
    """What of all that is drawn on a job's board is too fine, or stands out too little.

    Parameters
    ----------
    laid : LaidOutJob
        The job on its board.
    ground : PrintedGround
        What is printed round them.
    works : tuple of VectorWork
        The drawings.
    """
    job, facts = laid.job, []
    printed = {work.drawn.order for work in works
               if work.drawn.area.intersection(laid.area.printed).area > 0}
    film_um = _LEAST_LINE_PIXELS * job.film.resolution.pixel_mm * 1000
    for work in works:
        drawn = work.drawn
        ink = next(ink for ink in job.ink if ink.name == drawn.ink)
        finest_um = max(job.mesh_of(ink).finest_line_um, film_um)
        thin = narrower_than(work.visible, finest_um / 1000)
        tight = gaps_narrower_than(work.visible, finest_um / 1000)
        # A flat colour is meant to run off the edge; line work is not.
        beyond = Polygon() if drawn.kind == "flat" else as_area(
            drawn.area.difference(laid.area.safe))
        # A flat colour is a ground itself.
        contrast = None if drawn.kind == "flat" else ground.contrast_of(
            work, points_beside(work))
        facts.append(DrawingFacts(
            subject=drawn.subject, kind=drawn.kind, ink=drawn.ink, finest_um=finest_um,
            thin_mm2=thin.area, tight_mm2=tight.area, place_thin=_place(thin),
            place_tight=_place(tight), mm2_beyond_safe=beyond.area,
            place_beyond_safe=_place(beyond), type_pt=drawn.type_mm * POINTS_PER_MM,
            meets=_meets(work, works), wholly_off=drawn.order not in printed,
            stands_out=contrast.difference if contrast else None,
            ink_lightness=contrast.ink_lightness if contrast else 0.0,
            ground_lightness=contrast.ground_lightness if contrast else 0.0,
            place_faint=contrast.place if contrast else None))
    return tuple(facts)


def line_contrast(overlays: tuple[Overlay, ...], lines: tuple[LineFacts, ...],
                  points: Sequence[FloatArray], ground: PrintedGround) -> tuple[LineFacts, ...]:
    """What is known of line work in pictures, with how it stands out.

    Parameters
    ----------
    overlays : tuple of Overlay
        All that lies on the photographs.
    lines : tuple of LineFacts
        What is known of each picture of lines.
    points : sequence of ndarray, shape (N, 2)
        Inked places of each.
    ground : PrintedGround
        What is printed round them.
    """
    pictures = [overlay for overlay in overlays if isinstance(overlay, LineWork)]
    found = []
    for facts, overlay, places in zip(lines, pictures, points, strict=True):
        contrast = ground.contrast_of(overlay, places)
        found.append(facts if contrast is None else replace(
            facts, ink=overlay.table.ink or "", stands_out=contrast.difference,
            ink_lightness=contrast.ink_lightness, ground_lightness=contrast.ground_lightness,
            place_faint=contrast.place))
    return tuple(found)


def _place(area: Area) -> Place | None:
    """Where the largest part of an area lies."""
    parts: Sequence[Polygon] = get_parts(area)
    return None if area.is_empty else place_of(max(parts, key=lambda part: part.area).bounds)


def _meets(work: VectorWork, works: tuple[VectorWork, ...]) -> tuple[str, ...]:
    """Later notes that this one touches."""
    if work.drawn.kind != "note":
        return ()
    return tuple(other.drawn.subject for other in works
                 if other.drawn.kind == "note" and other.drawn.order > work.drawn.order
                 and other.drawn.area.intersects(work.drawn.area))
