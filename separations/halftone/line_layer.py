"""Line work on the film: never screened, its outline where coverage is one half."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preflight.frames.tiled_plane import TiledPlane
from separations.halftone.film_content import FilmContent, FilmLines, LineAction, Spans
from separations.halftone.tone_levels import line_levels
from separations.halftone.upsampling import Taps, column_taps, row_taps

#: Runs of line work nearer to each other than this are made as one (bytes of film pixels).
_LEAST_GAP_BYTES = 64


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LineLayer:
    """One sheet of line work ready for the film."""

    plane: TiledPlane
    rows: Taps
    columns: Taps
    cuts: Spans
    action: LineAction


def line_layer(line: FilmLines, content: FilmContent, cuts: Spans) -> LineLayer:
    """Make a sheet ready for a film and its cuts."""
    grid, scale = content.film_grid, content.scale
    return LineLayer(plane=line.plane, rows=row_taps(grid, line.grid, "linear", scale.along),
                     columns=column_taps(grid, line.grid, "linear", scale.across), cuts=cuts,
                     action=line.action)


def lay_lines(line: LineLayer, rows: tuple[int, int], first_byte: int,
              packed: NDArray[np.uint8]) -> None:
    """Print or clear the line work in packed film rows; the first byte is the film's so many-th."""
    base = line.rows.base[slice(*rows)]
    top, bottom = max(int(base.min()) - 1, 0), min(int(base.max()) + 3, line.plane.rows)
    held = line.plane.columns_held(top, bottom)
    if not held.any():
        return
    for first, end in _busy_bytes(held, line.columns.base, first_byte, packed.shape[1]):
        drawn = _drawn(line, (top, bottom), rows, (first_byte + first, first_byte + end))
        if line.action == "print":
            packed[:, first:end] |= drawn
        else:
            packed[:, first:end] &= ~drawn


def _drawn(line: LineLayer, plane_rows: tuple[int, int], rows: tuple[int, int],
           at_bytes: tuple[int, int]) -> NDArray[np.uint8]:
    """Packed rows of the line work in a stretch of the film's bytes."""
    from separations.halftone.line_kernel import LineTaps, draw_lines, line_room

    across = slice(at_bytes[0] * 8, min(at_bytes[1] * 8, len(line.columns.base)))
    base = line.columns.base[across]
    left, right = max(int(base.min()) - 1, 0), min(int(base.max()) + 3, line.plane.columns)
    plane = np.ascontiguousarray(line.plane.window(*plane_rows, left, right))
    drawn = np.empty((rows[1] - rows[0], at_bytes[1] - at_bytes[0]), np.uint8)
    starts, ends = (cut[slice(*rows)] - np.int32(across.start) for cut in line.cuts)
    draw_lines(
        plane, line_levels(),
        LineTaps(line.rows.base[slice(*rows)] - np.int32(plane_rows[0]),
                 np.ascontiguousarray(line.rows.weights[1:3, slice(*rows)])),
        LineTaps(base - np.int32(left), np.ascontiguousarray(line.columns.weights[1:3, across])),
        (starts, ends), drawn, line_room(plane.shape[1]))
    return drawn


def _busy_bytes(held: NDArray[np.bool_], base: NDArray[np.int32], first_byte: int,
                byte_count: int) -> list[tuple[int, int]]:
    """Half-open runs of a region's bytes that held plane columns reach, counted from its first."""
    columns = base[first_byte * 8:(first_byte + byte_count) * 8]
    below = np.append(0, np.cumsum(held))
    last = np.minimum(np.arange(7, byte_count * 8 + 7, 8), len(columns) - 1)
    busy = (below[np.minimum(columns[last] + 3, len(held))]
            > below[np.maximum(columns[::8] - 1, 0)])
    edges = np.flatnonzero(np.diff(busy.astype(np.int8), prepend=0, append=0))
    runs: list[tuple[int, int]] = []
    for first, end in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        if runs and first - runs[-1][1] < _LEAST_GAP_BYTES:
            first = runs.pop()[0]
        runs.append((first, end))
    return runs
