"""Line work on the board: drawn lines and letters, never screened, with their traps."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import get_parts

from preflight.art.art_plane import line_plane
from preflight.board.area_mask import Area, RowSpans, coverage_mask, row_spans
from preflight.board.fittings import LineKeptOff
from preflight.facts.submission import LineFacts
from preflight.facts.tone_facts import box_pixels, fullest_box
from preflight.frames.raster_grid import RasterGrid, grid_over
from preflight.frames.tiled_plane import TiledPlane
from preflight.job_file.job_tables import ArtTable
from preflight.units import MM_PER_INCH
from separations.planes.choke import COARSEST_EDGE_PPI, choked_tiles
from separations.planes.laid_out_job import LaidOutJob

#: Line work is sampled no finer than this (ppi); its edges are antialiased beyond.
_FINEST_LINE_PPI = 600.0
_HALF = 127


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LineWork:
    """One overlay of line work over the board.

    Attributes
    ----------
    order : int
        Its place among the job's artworks, from 0.
    table : ArtTable
        What the job says of it.
    cover : TiledPlane
        Its coverage, 255 for ink.
    trapped : TiledPlane
        The same, choked by the trap: what is knocked out of the other inks.
    grid : RasterGrid
        Where its pixels lie.
    white : TiledPlane or None
        What the underbase prints beneath it: the same, choked by the underbase's choke.
    """

    order: int
    table: ArtTable
    cover: TiledPlane
    trapped: TiledPlane
    grid: RasterGrid
    white: TiledPlane | None = None


def measure_lines(laid: LaidOutJob, overlays: tuple[LineWork, ...]) -> tuple[LineFacts, ...]:
    """What of the line work lies outside the safe area, for the checks."""
    facts = []
    for overlay in overlays:
        grid = overlay.grid
        printed, safe = (row_spans(area, grid) for area in (laid.area.printed, laid.area.safe))
        step = box_pixels(grid)
        boxes = np.zeros((-(-grid.rows // step), -(-grid.columns // step)), np.int64)
        for row, inked in _rows_beyond(overlay.cover, safe):
            outside = np.zeros(grid.columns, np.bool_)
            for spans, keeps in ((printed, True), (safe, False)):
                for start, end in zip(spans.starts[row], spans.ends[row], strict=True):
                    outside[start:end] = keeps and inked[start:end]
            places = np.flatnonzero(outside) // step
            boxes[row // step] += np.bincount(places, minlength=boxes.shape[1])
        facts.append(LineFacts(
            file=overlay.table.file, mm2_beyond_safe=int(boxes.sum()) * grid.pixel_mm**2,
            place_beyond_safe=fullest_box(boxes, grid, step),
            wholly_off=not _prints(overlay, printed),
            is_blank=overlay.cover.is_empty and _reaches_the_board(laid, overlay)))
    return tuple(facts)


def _reaches_the_board(laid: LaidOutJob, overlay: LineWork) -> bool:
    return any(art.order == overlay.order and art.placed.polygon.intersects(laid.area.printed)
               for art in laid.art)


def _prints(overlay: LineWork, printed: RowSpans) -> bool:
    """Whether any trace of line work lies within the printed area."""
    return any(covered[start:end].any() for row, covered in _rows_of(overlay.cover)
               for start, end in zip(printed.starts[row], printed.ends[row], strict=True))


def _rows_of(cover: TiledPlane) -> Iterator[tuple[int, NDArray[np.uint8]]]:
    """The rows that hold anything, with their numbers."""
    for first, band in cover.bands():
        for row in np.flatnonzero(band.any(axis=1)).tolist():
            yield first + row, band[row]


def _rows_beyond(cover: TiledPlane, safe: RowSpans) -> Iterator[tuple[int, NDArray[np.bool_]]]:
    """Rows whose ink does not lie within one and the same safe span, and what of them is inked."""
    for first, band in cover.bands():
        inked = band > _HALF
        begins = inked.argmax(axis=1)[:, None]
        ends = inked.shape[1] - inked[:, ::-1].argmax(axis=1)[:, None]
        rows = slice(first, first + len(band))
        within = (safe.starts[rows] <= begins) & (ends <= safe.ends[rows])
        for row in np.flatnonzero(inked.any(axis=1) & ~within.any(axis=1)).tolist():
            yield first + row, inked[row]


def line_work(laid: LaidOutJob, *, finest_ppi: float | None = None) -> tuple[LineWork, ...]:
    """The job's line work on the board, in its order, with its traps."""
    finest_ppi = finest_ppi or _FINEST_LINE_PPI
    trap_mm, under = laid.job.separation.trap.mm, laid.job.underbase
    overlays = []
    for art in laid.art:
        if art.table.kind != "line":
            continue
        ppi = min(max(art.placed.ppi, COARSEST_EDGE_PPI), finest_ppi)
        grid = grid_over(laid.area.image_bounds, MM_PER_INCH / ppi)
        cover = line_plane(art.artwork, art.placed, grid)
        white = None
        if art.table.white_beneath and under is not None:
            white = choked_tiles(cover, laid.job.choke_mm_of(under) / grid.pixel_mm)
        overlays.append(LineWork(
            order=art.order, table=art.table, cover=cover, grid=grid, white=white,
            trapped=choked_tiles(cover, trap_mm / grid.pixel_mm)))
    return tuple(overlays)


_HALF_COVERED = 32_768


def measure_lost_lines(laid: LaidOutJob, overlays: tuple[LineWork, ...]) -> tuple[LineKeptOff, ...]:
    """How much of each drawing falls into holes and into keep-outs that take no ink.

    Only the pixels round each place are looked at.
    """
    fittings = laid.fittings
    places = [part for pack in fittings.inserts for part in get_parts(pack.clear)]
    places += [place.area for place in fittings.keep_outs if place.ink_off]
    if not places:
        return ()
    facts = []
    for overlay in overlays:
        inked = [_inked_mm2(overlay, place) for place in places]
        worst = int(np.argmax(inked))
        facts.append(LineKeptOff(
            file=overlay.table.file, mm2_lost=sum(inked),
            bounds_mm=tuple(places[worst].bounds) if inked[worst] else None))
    return tuple(facts)


def _inked_mm2(overlay: LineWork, place: Area) -> float:
    grid = overlay.grid
    least_x, least_y, greatest_x, greatest_y = place.bounds
    rows = _window(grid.row_of(greatest_x), grid.row_of(least_x), grid.rows)
    columns = _window(grid.column_of(greatest_y), grid.column_of(least_y), grid.columns)
    if rows[0] >= rows[1] or columns[0] >= columns[1]:
        return 0.0
    part = RasterGrid(top_x_mm=grid.top_x_mm - rows[0] * grid.pixel_mm,
                      left_y_mm=grid.left_y_mm - columns[0] * grid.pixel_mm,
                      pixel_mm=grid.pixel_mm, rows=rows[1] - rows[0],
                      columns=columns[1] - columns[0])
    inked = overlay.cover.window(*rows, *columns) > 127
    inked &= coverage_mask(place, part) >= _HALF_COVERED
    return int(np.count_nonzero(inked)) * grid.pixel_mm**2


def _window(first: float, end: float, most: int) -> tuple[int, int]:
    return max(0, math.floor(first)), min(most, math.ceil(end))
