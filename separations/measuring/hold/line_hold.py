"""Lines, and the gaps between them, of one sheet of line work on its film's own bits."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from preflight.facts.mesh_hold_facts import FaintLines, LineHold, PartKind, share_lost
from preflight.findings import Place
from preflight.frames.raster_grid import RasterGrid
from preflight.press.mesh import Mesh
from separations.halftone.film_content import FilmContent
from separations.measuring.hold.film_windows import Window, line_bits
from separations.measuring.hold.halftone_hold import place_of_window
from separations.measuring.hold.line_scan import LineSuspects, scan_lines
from separations.measuring.hold.local_width import ThinPart, thin_parts
from separations.planes.line_work import LineWork

#: Side of a window, and what is seen round it (mm); most windows a sheet and kind. Own rules.
_TILE_MM, _BESIDE_MM, _MOST_WINDOWS = 4.0, 0.4, 80
#: A part this many times as long as the least width held is a line; a shorter one that hangs on
#: a wider part is a corner or a tip. Own rule, no source.
_LINE_FROM = 3.0
#: Fewer pale pixels in one tile (mm of stroke) are the edge of something. Own rule, no source.
_FAINT_FROM_MM = 1.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SheetHold:
    """One sheet's facts, and the map of what it loses.

    Attributes
    ----------
    lines : tuple of LineHold
        Its lines and its gaps.
    faint : FaintLines
        What the film does not print at all.
    places : NDArray of float64, shape (N, 3)
        x, y (mm) and mm² lost, of each thin part.
    """

    lines: tuple[LineHold, ...]
    faint: FaintLines
    places: NDArray[np.float64]


def measure_sheet(sheet: LineWork, content: FilmContent, mesh: Mesh, ink: str) -> SheetHold:
    """Measure one sheet of line work on the film of its ink.

    Suspects are found by a quick look at every pixel of the sheet; the worst of them, tile by
    tile, are then measured on the film's bits.
    """
    pixel_um, held_um = sheet.grid.pixel_mm * 1000, mesh.finest_line_um
    suspects = scan_lines(sheet.cover, _suspect_px(held_um, pixel_um),
                          max(8, round(_TILE_MM / sheet.grid.pixel_mm)))
    found, places = [], []
    kinds: tuple[tuple[PartKind, NDArray[np.float32], NDArray[np.int32]], ...] = (
        ("line", suspects.line_px, suspects.line_count),
        ("gap", suspects.gap_px, suspects.gap_count))
    for kind, width, count in kinds:
        hold, where = _measure(sheet, content, mesh, ink, kind,
                               _worst_tiles(width, count), suspects.tile_px)
        found.append(hold)
        places.extend(where)
    return SheetHold(lines=tuple(found), faint=_faint(sheet, suspects),
                     places=np.array(places, np.float64).reshape(-1, 3))


def _measure(
    sheet: LineWork, content: FilmContent, mesh: Mesh, ink: str, kind: PartKind,
    tiles: tuple[tuple[int, int], ...], tile_px: int,
) -> tuple[LineHold, list[tuple[float, float, float]]]:
    film, held_um = content.film_grid, mesh.finest_line_um
    pixel_um = film.pixel_mm * 1000
    narrowest: tuple[float, Place] | None = None
    length_mm, places = 0.0, []
    printed = replace(content, lines=tuple(c for c in content.lines if c.action == "print"))
    for row, column in tiles[:_MOST_WINDOWS]:
        window, margin = _film_window(sheet.grid, film, row * tile_px, column * tile_px, tile_px)
        if window is None:
            continue
        bits = line_bits(printed, window)
        for part in thin_parts(bits if kind == "line" else ~bits, held_um / pixel_um, margin):
            if not _counts(part, held_um / pixel_um, kind):
                continue
            width_um = part.width_px * pixel_um
            where = _place(part, window, film)
            if narrowest is None or width_um < narrowest[0]:
                narrowest = (width_um, where)
            length_mm += part.length_px * film.pixel_mm
            lost = part.area_px * film.pixel_mm**2 * share_lost(width_um, mesh.thread_um, held_um)
            places.append((*where.centre_mm, lost))
    hold = LineHold(
        file=sheet.table.file, ink=ink, kind=kind, held_um=held_um,
        narrowest_um=narrowest[0] if narrowest else None, thin_mm=length_mm,
        mm2_lost=sum(p[2] for p in places), place=narrowest[1] if narrowest else None,
        unseen=max(0, len(tiles) - _MOST_WINDOWS))
    return hold, places


def _worst_tiles(
    width_px: NDArray[np.float32], count: NDArray[np.int32]
) -> tuple[tuple[int, int], ...]:
    """All tiles with suspects: by turns the finest and the fullest."""
    known = int(np.count_nonzero(count))
    finest = np.argsort(width_px, axis=None, kind="stable")[:known]
    fullest = np.argsort(-count, axis=None, kind="stable")[:known]
    order = dict.fromkeys(np.stack([finest, fullest], axis=1).ravel().tolist())
    return tuple(divmod(tile, width_px.shape[1]) for tile in order)


def _suspect_px(held_um: float, pixel_um: float) -> float:
    """Plane pixels up to which a width by chords may be less than the mesh holds."""
    return 1.15 * held_um / pixel_um + 1.0


def _counts(part: ThinPart, limit_px: float, kind: PartKind) -> bool:
    """Whether a thin part matters: a line, or a dot of its own; not a tip or a speck of ground."""
    return part.length_px >= _LINE_FROM * limit_px or (kind == "line" and part.alone)


def _film_window(
    plane: RasterGrid, film: RasterGrid, row: int, column: int, side: int
) -> tuple[Window | None, int]:
    """A tile of a plane as a window of the film with its margin (film pixels)."""
    scale = plane.pixel_mm / film.pixel_mm
    margin = round(_BESIDE_MM / film.pixel_mm)
    top = round(film.row_of(plane.top_x_mm) + row * scale)
    left = round(film.column_of(plane.left_y_mm) + column * scale)
    bottom = round(film.row_of(plane.top_x_mm) + (row + side) * scale)
    right = round(film.column_of(plane.left_y_mm) + (column + side) * scale)
    top, left = max(top, margin), max(left, margin)
    bottom, right = min(bottom, film.rows - margin), min(right, film.columns - margin)
    if bottom <= top or right <= left:
        return None, margin
    return Window(top - margin, bottom + margin, left - margin, right + margin), margin


def _place(part: ThinPart, window: Window, film: RasterGrid) -> Place:
    row, column = int(window.first_row + part.row), int(window.first_column + part.column)
    half = max(1, round(0.5 / film.pixel_mm))
    return place_of_window(Window(row - half, row + half, column - half, column + half), film)


def _faint(sheet: LineWork, suspects: LineSuspects) -> FaintLines:
    grid, side = sheet.grid, suspects.tile_px
    many = suspects.faint * grid.pixel_mm >= _FAINT_FROM_MM
    length_mm = float(suspects.faint[many].sum()) * grid.pixel_mm
    if not many.any():
        return FaintLines(file=sheet.table.file, mm=0.0, place=None)
    row, column = np.unravel_index(int(np.argmax(suspects.faint)), suspects.faint.shape)
    return FaintLines(
        file=sheet.table.file, mm=length_mm,
        place=place_of_window(Window(int(row) * side, (int(row) + 1) * side, int(column) * side,
                                     (int(column) + 1) * side), grid))
