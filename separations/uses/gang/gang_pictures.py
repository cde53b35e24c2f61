"""The pictures of a gang: each piece's proof where it lies, and its dots."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely import get_parts

from preflight.board.area_mask import coverage_mask
from preflight.facts.submission import Submission
from preflight.findings import Place
from separations.colour.display import shown_srgb, solid_srgb
from separations.colour.varnish import model_under
from separations.pipeline.job_pictures import JobPictures
from separations.proof.film_layers import film_layers
from separations.proof.run_pictures import board_picture, dot_picture
from separations.proof.shown_pictures import BoardViews, ReportPicture
from separations.uses.gang.gang_board import moved_place, origin_in_gang
from separations.uses.gang.placed_pieces import PlacedPiece, gang_size_mm

#: Free film between the pieces, as it is shown (sRGB).
_FREE_SRGB = (236, 236, 232)
#: How true the page draws the pieces' edges (mm).
_DRAWN_TO_MM = 0.1


def gang_views(pieces: Sequence[PlacedPiece], drawn: Mapping[Path, JobPictures],
               whole: Submission) -> tuple[BoardViews, NDArray[np.uint8]]:
    """The report's views of the gang, and its proof (rows, columns, 3), nose edge to the right.

    Parameters
    ----------
    pieces : sequence of PlacedPiece
        As they lie.
    drawn : mapping of Path to JobPictures
        Each job's pictures, by its file.
    whole : Submission
        The gang as one board.
    """
    job = whole.job
    proof, tones = _laid(pieces, drawn)
    high, wide = gang_size_mm(pieces)
    model = model_under(job, job.finish.varnish)
    frame = Place(least_x_mm=-high / 2, least_y_mm=-wide / 2, greatest_x_mm=high / 2,
                  greatest_y_mm=wide / 2)
    views = BoardViews(
        proof=replace(board_picture(proof, job.title, job.finish.varnish), title="The gang",
                      caption="Each piece as it will look on its wood, trimmed, the film's nose "
                              "edge to the right. The wood's figure is invented; its colour is "
                              "the job's.",
                      alt=f"All pieces of {job.title} as they lie on the film, its nose edge to "
                          "the right"),
        frame=frame, trims=tuple(
            tuple((float(x), float(y)) for x, y, *_ in
                  part.simplify(_DRAWN_TO_MM).exterior.coords)
            for part in get_parts(whole.area.trim)),
        wood_srgb=shown_srgb(model.primaries_lab[0]),
        solids_srgb=tuple(solid_srgb(model, number) for number, _ in enumerate(job.ink)),
        layers=film_layers(tones, [ink.name for ink in job.ink], model),
        near=tuple(_near(pieces, piece, drawn) for piece in pieces))
    return views, proof


def _near(pieces: Sequence[PlacedPiece], piece: PlacedPiece,
          drawn: Mapping[Path, JobPictures]) -> ReportPicture:
    number = pieces.index(piece) + 1
    crop = drawn[piece.prepared.laid.job.path].crop
    shown = dot_picture(crop, f"Piece {number}, where its inks differ most")
    return shown if shown.place is None else replace(
        shown, place=moved_place(pieces, piece, shown.place))


def _laid(pieces: Sequence[PlacedPiece], drawn: Mapping[Path, JobPictures]
          ) -> tuple[NDArray[np.uint8], NDArray[np.uint16]]:
    """All pieces' proofs and tones on one grid; the proof with the nose edge to the right."""
    any_of = next(iter(drawn.values()))
    pixel_mm = any_of.grid.pixel_mm
    high, wide = gang_size_mm(pieces)
    rows, columns = (round(mm / pixel_mm) for mm in (high, wide))
    proof = np.full((rows, columns, 3), _FREE_SRGB, np.uint8)
    tones = np.zeros((len(any_of.tones), rows, columns), np.uint16)
    for piece in pieces:
        own = drawn[piece.prepared.laid.job.path]
        x, y, sign = origin_in_gang(pieces, piece)
        grid, area = own.grid, piece.prepared.laid.area
        board = cv2.rotate(own.board, cv2.ROTATE_90_COUNTERCLOCKWISE)
        trim, inked = coverage_mask(area.trim, grid) > 0, own.tones
        top_mm, left_mm = grid.top_x_mm, grid.left_y_mm
        if sign < 0:
            board, trim, inked = board[::-1, ::-1], trim[::-1, ::-1], inked[:, ::-1, ::-1]
            top_mm = grid.rows * pixel_mm - top_mm
            left_mm = grid.columns * pixel_mm - left_mm
        row, column = (round((half / 2 - origin - edge) / pixel_mm) for half, origin, edge in
                       ((high, x, top_mm), (wide, y, left_mm)))
        first_row, first_column = max(0, row), max(0, column)
        end_row = min(rows, row + grid.rows)
        end_column = min(columns, column + grid.columns)
        there = (slice(first_row, end_row), slice(first_column, end_column))
        here = (slice(first_row - row, end_row - row),
                slice(first_column - column, end_column - column))
        np.copyto(proof[there], board[here], where=trim[here][..., None])
        np.maximum(tones[(slice(None), *there)], inked[(slice(None), *here)],
                   out=tones[(slice(None), *there)])
    return np.ascontiguousarray(cv2.rotate(proof, cv2.ROTATE_90_CLOCKWISE)), tones
