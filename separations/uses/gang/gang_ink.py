"""Ink for a gang sheet: what one pull of all its pieces takes, and the pulls until all are made."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from preflight.job_file.job_tables import InkTable
from separations.films.film_set import deposit_range
from separations.ink_need.ink_estimate import InkEstimate, Range, estimate_ink
from separations.uses.gang.placed_pieces import PlacedPiece


def pulls_for_all(pieces: Sequence[PlacedPiece]) -> int:
    """How many pulls make every job's boards; a job that lies there twice needs half as many."""
    boards = {piece.prepared.laid.job.path: piece.prepared.laid.job.boards for piece in pieces}
    times = Counter(piece.prepared.laid.job.path for piece in pieces)
    return max(-(-boards[path] // times[path]) for path in boards)


def gang_estimate(pieces: Sequence[PlacedPiece], ink: InkTable, inked_mm2: float) -> InkEstimate:
    """Estimate one ink of the shared film, with one pull for a board.

    Parameters
    ----------
    pieces : sequence of PlacedPiece
        All that lies on the film; by its jobs' woods a solid may take more or less.
    ink : InkTable
        As the jobs have it alike.
    inked_mm2 : float
        Area of all dots of the film, as it prints (mm²).
    """
    first = pieces[0].prepared.laid.job
    mesh = first.mesh_of(ink)
    areas = [piece.prepared.laid.area.printed.area for piece in pieces]
    share = [area / sum(areas) for area in areas]
    taken = [deposit_range(piece.prepared.laid.job, _own(piece, ink), mesh,
                           piece.prepared.separation, part * inked_mm2)
             for piece, part in zip(pieces, share, strict=True)]
    likely = sum(area * deposit.likely for area, deposit in zip(areas, taken, strict=True))
    return estimate_ink(
        ink=ink.name, inked_mm2=inked_mm2, printed_mm2=sum(areas),
        ink_volume_um=mesh.ink_volume_um,
        deposit=Range(low=min(deposit.low for deposit in taken), likely=likely / sum(areas),
                      high=max(deposit.high for deposit in taken)),
        density_g_per_ml=ink.density, boards=pulls_for_all(pieces),
        left_in_screen_ml=ink.left_in_screen)


def _own(piece: PlacedPiece, ink: InkTable) -> InkTable:
    """The piece's own table of an ink: what it prints may differ."""
    return next(one for one in piece.prepared.laid.job.ink if one.name == ink.name)
