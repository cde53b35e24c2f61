"""All that lies on the photographs, in its order: pictures of lines, drawings, flats, notes."""

from __future__ import annotations

from separations.planes.art_separation import ArtSeparation
from separations.planes.laid_out_job import LaidOutJob
from separations.planes.line_work import LineWork, line_work
from separations.planes.vector_work import VectorWork, vector_work

Sheet = LineWork | VectorWork


def sheets_of(
    laid: LaidOutJob, separation: ArtSeparation, finest_ppi: float | None = None, *,
    pictures: tuple[LineWork, ...] | None = None,
) -> tuple[Sheet, ...]:
    """The job's sheets, bottom first; line work in pictures no finer than ``finest_ppi``.

    ``pictures`` is the line work in pictures, where that is at hand: it needs no separation.
    """
    if pictures is None:
        pictures = line_work(laid, finest_ppi=finest_ppi)
    placed: list[tuple[int, Sheet]] = [(laid.job.art.index(sheet.table), sheet)
                                       for sheet in pictures]
    placed += [(work.drawn.order, work) for work in vector_work(laid, separation)]
    return tuple(sheet for _, sheet in sorted(placed, key=lambda pair: pair[0]))
