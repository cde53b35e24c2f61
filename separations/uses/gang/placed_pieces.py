"""Pieces prepared and laid on their film, or refused with what stands in the way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from typing import Literal

from preflight.frames.film_scale import scale_lines
from preflight.frames.raster_grid import grid_over
from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from separations.films.film_sheet import (
    FURTHER_LINE_MM,
    NO_PRESS_ROOM,
    NOSE_MARGIN_MM,
    SIDE_MARGIN_MM,
    TAIL_MARGIN_MM,
    Box,
    FilmSheet,
    PressRoom,
    film_sheet,
)
from separations.pipeline.prepared_job import PreparedJob
from separations.uses.gang.gang_layout import (
    FilmRoom,
    PiecePlace,
    PieceSize,
    extent,
    lay_on_shelves,
    meeting,
    whole_bytes,
)
from separations.uses.gang.gang_sheet import GangSheet, PieceTable

#: Kept from the film printer's size for margins in whole pixels and bytes.
_SPARE_MM = 0.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlacedPiece:
    """A piece on the film.

    Attributes
    ----------
    table : PieceTable
        What the gang sheet says of it.
    prepared : PreparedJob
        Its job.
    sheet : FilmSheet
        The sheet it would have by itself; its art grid is what lies on the gang's film.
    place : PiecePlace
        Where that lies.
    """

    table: PieceTable
    prepared: PreparedJob
    sheet: FilmSheet
    place: PiecePlace

    @property
    def from_nose_mm(self) -> float:
        """Print millimetres from the gang's nose edge."""
        return self.place.row * self.sheet.art_grid.pixel_mm / self.sheet.scale.along

    @property
    def from_left_mm(self) -> float:
        """Print millimetres from the gang's left edge."""
        return self.place.column * self.sheet.art_grid.pixel_mm / self.sheet.scale.across

    @property
    def origin_mm(self) -> tuple[float, float]:
        """Film mm from the gang's nose and left edges to the piece's origin, whence it is screened.

        That is the middle of the board's length on its centre line, as on a film of its own.
        """
        grid = self.sheet.art_grid
        row, column = grid.row_of(0.0), grid.column_of(0.0)
        if self.table.is_turned:
            row, column = grid.rows - row, grid.columns - column
        return ((self.place.row + row) * grid.pixel_mm,
                (self.place.column + column) * grid.pixel_mm)

    @property
    def trim_on_gang(self) -> Box:
        """Its trim on the gang's image, in film pixels."""
        art, trim, grid = self.sheet.art_box, self.sheet.trim_box, self.sheet.art_grid
        left, top, right, bottom = (trim.left - art.left, trim.top - art.top,
                                    trim.right - art.left, trim.bottom - art.top)
        if self.table.is_turned:
            left, right = grid.columns - right, grid.columns - left
            top, bottom = grid.rows - bottom, grid.rows - top
        row, column = self.place
        return Box(left + column, top + row, right + column, bottom + row)

    @property
    def told(self) -> str:
        """What the label says of it."""
        job = self.prepared.laid.job
        turned = ", turned 180°" if self.table.is_turned else ""
        return (f"{job.title} · {job.board.name}, {job.side} side{turned} · "
                f"{self.from_nose_mm:.1f} mm from the nose edge, {self.from_left_mm:.1f} mm "
                "from the left")


def place_pieces(gang: GangSheet, prepared: Sequence[PreparedJob]) -> tuple[PlacedPiece, ...]:
    """Lay the pieces as the gang sheet says, or by shelves where it does not.

    Raises
    ------
    InputProblem
        When pieces meet, or do not fit the film printer or the frame.
    """
    sheets = [job.sheet for job in prepared]
    places = lay_pieces(gang, [job.laid.job for job in prepared], sheets)
    return tuple(PlacedPiece(table=table, prepared=job, sheet=sheet, place=place)
                 for table, job, sheet, place
                 in zip(gang.piece, prepared, sheets, places, strict=True))


def lay_pieces(gang: GangSheet, jobs: Sequence[Job],
               sheets: Sequence[FilmSheet]) -> tuple[PiecePlace, ...]:
    """Each piece's place, which needs no separation; raises as `place_pieces` does."""
    sizes = tuple(PieceSize(sheet.art_grid.rows, sheet.art_grid.columns) for sheet in sheets)
    room = _room(jobs, sheets[0])
    if gang.is_placed:
        places = tuple(_given(table, sheets[0]) for table in gang.piece)
        _check_apart(gang, sizes, places)
        taken = extent(sizes, places)
        if taken.rows > room.rows or taken.columns > room.columns:
            furthest = max(range(len(places)), key=lambda n: max(
                (places[n].row + sizes[n].rows) / room.rows,
                (places[n].column + sizes[n].columns) / room.columns))
            raise _no_room(gang, furthest, jobs, room, sheets, taken)
        return places
    gap = sheets[0].pixels(gang.gap.mm * max(sheets[0].scale))
    shelved = lay_on_shelves(sizes, room, gap, gang.lay)
    if isinstance(shelved, int):
        raise _no_room(gang, shelved, jobs, room, sheets, _needed(sizes, room, gap, gang.lay))
    return shelved


def _needed(sizes: tuple[PieceSize, ...], room: FilmRoom, gap: int,
            lay: Literal["across", "along"]) -> FilmRoom:
    """What shelves would take if there were as many as it needs, of the length that there is."""
    no_end = sum(max(size) + gap + 8 for size in sizes)
    wider = FilmRoom(max(room.rows, *(size.rows for size in sizes)),
                     max(room.columns, *(size.columns for size in sizes)))
    wider = wider._replace(rows=no_end) if lay == "across" else wider._replace(columns=no_end)
    shelved = lay_on_shelves(sizes, wider, gap, lay)
    assert not isinstance(shelved, int)
    return extent(sizes, shelved)


def gang_size_mm(pieces: Sequence[PlacedPiece]) -> tuple[float, float]:
    """Length and width that all pieces take on the print (mm)."""
    (high, wide), scale = _film_mm(pieces), pieces[0].sheet.scale
    return high / scale.along, wide / scale.across


def _film_mm(pieces: Sequence[PlacedPiece]) -> tuple[float, float]:
    """The same on the film."""
    rows, columns = extent(tuple(PieceSize(p.sheet.art_grid.rows, p.sheet.art_grid.columns)
                                 for p in pieces), tuple(p.place for p in pieces))
    pixel_mm = pieces[0].sheet.art_grid.pixel_mm
    return rows * pixel_mm, columns * pixel_mm


def gang_film_sheet(pieces: Sequence[PlacedPiece], *, further_lines: int | None = None,
                    press: PressRoom = NO_PRESS_ROOM) -> FilmSheet:
    """The shared film: one set of marks, and a label line for each piece.

    Parameters
    ----------
    pieces : sequence of PlacedPiece
        As they lie.
    further_lines : int, optional
        Lines of its label beyond the usual ones, where some are wrapped.
    press : PressRoom
        What the marks for the press take.
    """
    own = pieces[0].sheet
    along, across = own.scale
    high, wide = _film_mm(pieces)
    trims = [piece.trim_on_gang for piece in pieces]
    pixel = own.art_grid.pixel_mm
    trim = ((high / 2 - max(t.bottom for t in trims) * pixel) / along,
            (wide / 2 - max(t.right for t in trims) * pixel) / across,
            (high / 2 - min(t.top for t in trims) * pixel) / along,
            (wide / 2 - min(t.left for t in trims) * pixel) / across)
    bounds = (-high / 2 / along, -wide / 2 / across, high / 2 / along, wide / 2 / across)
    sheet = film_sheet(bounds, trim, own.dpi, own.reading, scale=own.scale,
                       press=press, further_lines=max(
                           further_lines or 0, len(pieces) + len(size_lines(pieces))))
    assert sheet.art_grid == grid_over(own.scale.grown_bounds(bounds), pixel)
    return sheet


def size_lines(pieces: Sequence[PlacedPiece]) -> tuple[str, ...]:
    """How the film's size differs from the print's, over all pieces; none if it does not."""
    return scale_lines(pieces[0].sheet.scale, *gang_size_mm(pieces))


def _room(jobs: Sequence[Job], sheet: FilmSheet) -> FilmRoom:
    """What film printer and frames leave for images, in film pixels."""
    film = jobs[0].film
    lines = len(jobs) + (0 if sheet.scale.is_true else 2)
    long_mm = film.length.mm - NOSE_MARGIN_MM - TAIL_MARGIN_MM - lines * FURTHER_LINE_MM
    wide_mm = film.width.mm - 2 * SIDE_MARGIN_MM
    free_long = min(j.frame.inside_length.mm - 2 * j.frame.free_ends.mm for j in jobs)
    free_wide = min(j.frame.inside_width.mm - 2 * j.frame.free_sides.mm for j in jobs)
    pixel_mm = sheet.art_grid.pixel_mm
    return FilmRoom(max(0, int((min(long_mm, free_long) - _SPARE_MM) / pixel_mm)),
                    max(0, int((min(wide_mm, free_wide) - _SPARE_MM) / pixel_mm)))


def _given(table: PieceTable, sheet: FilmSheet) -> PiecePlace:
    assert table.from_nose is not None
    assert table.from_left is not None
    pixel_mm = sheet.art_grid.pixel_mm
    return PiecePlace(round(table.from_nose.mm * sheet.scale.along / pixel_mm),
                      whole_bytes(round(table.from_left.mm * sheet.scale.across / pixel_mm)))


def _check_apart(gang: GangSheet, sizes: tuple[PieceSize, ...],
                 places: tuple[PiecePlace, ...]) -> None:
    met = meeting(sizes, places)
    if met is not None:
        first, second = met
        raise InputProblem(
            where=f"{gang.path}: piece[{second + 1}]",
            found=f"'{gang.piece[second].job}' lying over piece[{first + 1}], "
                  f"'{gang.piece[first].job}'",
            would_do="places whose boxes are apart, or no places for automatic ones,")


def _no_room(gang: GangSheet, number: int, jobs: Sequence[Job], room: FilmRoom,
             sheets: Sequence[FilmSheet], needed: FilmRoom) -> InputProblem:
    pixel_mm = sheets[0].art_grid.pixel_mm
    film, own = jobs[0].film, sheets[number].art_grid
    return InputProblem(
        where=f"{gang.path}: piece[{number + 1}]",
        found=f"no room for '{gang.piece[number].job}' of {own.columns * pixel_mm:.0f} by "
              f"{own.rows * pixel_mm:.0f} mm: all pieces as they are laid need "
              f"{ceil(needed.columns * pixel_mm)} by {ceil(needed.rows * pixel_mm)} mm; a film "
              f"printer of {film.width.written} by {film.length.written} and the frame with its "
              f"free mesh leave {room.columns * pixel_mm:.0f} by {room.rows * pixel_mm:.0f} mm",
        would_do="fewer or smaller pieces, other places or another 'lay', or a greater frame,")
