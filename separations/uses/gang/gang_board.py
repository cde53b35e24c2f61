"""A gang told as one board whose trim has several parts, for report and operator's sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from shapely.affinity import affine_transform
from shapely.geometry import MultiPolygon
from shapely.ops import unary_union

from preflight.board.board_outline import BoardOutline
from preflight.board.fittings import Fittings
from preflight.board.topsheet_area import TopsheetArea
from preflight.facts.mesh_hold_facts import LetteringHold
from preflight.facts.submission import Submission
from preflight.findings import Finding, Place
from preflight.job_file.job_tables import Stage
from preflight.nouns import counted
from separations.uses.gang.gang_films import GangOnFilm
from separations.uses.gang.gang_ink import pulls_for_all
from separations.uses.gang.placed_pieces import PlacedPiece, gang_size_mm


def gang_submission(laid: GangOnFilm) -> Submission:
    """The gang as checks and report would see one board, in the gang's frame.

    That is millimetres of the print from the middle of all pieces, x towards the film's nose edge.
    """
    pieces, first = laid.pieces, laid.pieces[0].prepared.submission
    high, wide = gang_size_mm(pieces)
    half = np.array([[-high, -wide], [high, -wide], [high, wide], [-high, wide]]) / 2
    trims = [_moved_area(pieces, piece, piece.prepared.laid.area.trim) for piece in pieces]
    printed, safe = (unary_union([
        _moved_area(pieces, piece, getattr(piece.prepared.laid.area, name)) for piece in pieces])
        for name in ("printed", "safe"))
    outline = BoardOutline(ring_mm=half)
    job = replace(
        first.job, title=laid.gang.title, date=laid.gang.date, stage=_stage(pieces),
        boards=pulls_for_all(pieces), board=replace(
            first.job.board, name=f"{counted(len(pieces), 'piece')} on one film for each ink"))
    return replace(
        first, job=job, outline=outline, fittings=Fittings(),
        area=TopsheetArea(trim=MultiPolygon(trims), printed=printed, safe=safe,
                          uncut=outline.polygon),
        art=tuple(art for piece in _once(pieces) for art in piece.prepared.submission.art),
        figures=tuple(dict.fromkeys(figure for piece in pieces
                                    for figure in piece.prepared.submission.figures)),
        hold=first.hold and replace(first.hold, lettering=tuple(
            lettering for piece in pieces for lettering in _lettering(pieces, piece))))


def pinned(pieces: Sequence[PlacedPiece], findings: Sequence[Finding],
           piece: PlacedPiece) -> tuple[Finding, ...]:
    """A piece's findings with their places where they lie on the gang, told as on the board."""
    return tuple(finding if finding.place is None else
                 replace(finding, place=moved_place(pieces, piece, finding.place))
                 for finding in findings)


def moved_place(pieces: Sequence[PlacedPiece], piece: PlacedPiece, place: Place) -> Place:
    """A place of a piece's board in the gang's frame, told as on that board."""
    x, y, sign = origin_in_gang(pieces, piece)
    along = sorted((x + sign * place.least_x_mm, x + sign * place.greatest_x_mm))
    across = sorted((y + sign * place.least_y_mm, y + sign * place.greatest_y_mm))
    return Place(least_x_mm=along[0], least_y_mm=across[0], greatest_x_mm=along[1],
                 greatest_y_mm=across[1], told=f"piece {pieces.index(piece) + 1}: {place}")


def origin_in_gang(pieces: Sequence[PlacedPiece],
                   piece: PlacedPiece) -> tuple[float, float, int]:
    """A piece's origin in the gang's frame (mm), and 1, or -1 where it is turned."""
    (high, wide), scale, (down, over) = gang_size_mm(pieces), piece.sheet.scale, piece.origin_mm
    return (high / 2 - down / scale.along, wide / 2 - over / scale.across,
            -1 if piece.table.is_turned else 1)


def _moved_area(pieces: Sequence[PlacedPiece], piece: PlacedPiece,
                area: MultiPolygon) -> MultiPolygon:
    x, y, sign = origin_in_gang(pieces, piece)
    return affine_transform(area, [sign, 0, 0, sign, x, y])


def _lettering(pieces: Sequence[PlacedPiece],
               piece: PlacedPiece) -> tuple[LetteringHold, ...]:
    hold = piece.prepared.submission.hold
    return tuple(replace(one, subject=f"{piece.table.job}: {one.subject}", parts=tuple(
        replace(part, place=moved_place(pieces, piece, part.place)) for part in one.parts))
        for one in (hold.lettering if hold else ()))


def _stage(pieces: Sequence[PlacedPiece]) -> Stage:
    return "sheet" if any(piece.prepared.laid.job.stage == "sheet" for piece in pieces) else "board"


def _once(pieces: Sequence[PlacedPiece]) -> list[PlacedPiece]:
    """One piece of each job."""
    return list({piece.prepared.laid.job.path: piece for piece in pieces}.values())
