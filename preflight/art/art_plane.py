"""Artwork laid on a raster grid of the board: photographs as RGB and cover, line work as ink."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import cv2
import numpy as np
import numpy.typing as npt
from numpy.typing import NDArray
from shapely import Polygon

from preflight.art.art_cover import art_cover, cut_to_art
from preflight.art.artwork import Artwork
from preflight.art.artwork_pixels import ArtPixels, LoadPixels, Pixels, load_pixels
from preflight.art.placement import PlacedArt
from preflight.board.area_mask import part_of
from preflight.frames.raster_grid import RasterGrid
from preflight.frames.tiled_plane import TiledCanvas, TiledPlane

if TYPE_CHECKING:
    from preflight.art.resampling import Filter

#: Output rows (along the stored picture) that one worker makes at a time, at most, and the
#: source pixels that it may hold for them.
_CHUNK_ROWS = 64
_CHUNK_SOURCE_PIXELS = 2_000_000
#: Source pixels kept around a turned window, in pixels of the reduced picture.
_WARP_HALO = 4.0
#: How far a photo's edge pixels may be repeated beyond its edge (mm): a bleed's width, not more,
#: since streaks would show inside a trim. Own rule, no source.
EDGE_FILL_MM = 15.0
#: Encoded luma of red, green and blue. Source: ITU-R BT.601.
_LUMA = np.array([0.299, 0.587, 0.114], dtype=np.float32)

_Prepare = Callable[[Pixels], NDArray[Any]]
_Store = Callable[[slice, slice, NDArray[Any]], None]
_Depth = npt.DTypeLike | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ArtPlane:
    """A photograph on a grid.

    Attributes
    ----------
    rgb : NDArray of uint8 or uint16, shape (rows, columns, 3)
        In the artwork's own encoding (`Artwork.colour`); white where there is no art.
    cover : NDArray of uint8, shape (rows, columns)
        255 where art is present and opaque, 0 where there is none.
    """

    rgb: NDArray[np.uint8] | NDArray[np.uint16]
    cover: NDArray[np.uint8]


def photo_plane(artwork: Artwork, placed: PlacedArt, grid: RasterGrid, *,
                load: LoadPixels = load_pixels, fill_mm: float = 0.0) -> ArtPlane:
    """Resample a photograph to the grid.

    Parameters
    ----------
    artwork, placed : Artwork, PlacedArt
        The picture and where it lies.
    grid : RasterGrid
        The pixels to fill.
    load : callable
        Decodes the picture; one that keeps it where several look at it.
    fill_mm : float
        How far beyond the art's edge its outermost pixels are repeated (mm), 0 for not at all.

    Notes
    -----
    Cubic convolution, widened when reducing so that nothing aliases. Colours are weighted by
    alpha, so that what is hidden does not bleed into edges. Quarter turns and mirror images go
    straight to their place; other angles are reduced first and then turned.
    """
    source = load(artwork, shrink=_shrink(placed, grid))
    depth = np.uint8 if source.top == 255 else np.uint16
    reached = placed.reaching(fill_mm)
    cover = art_cover(reached, grid)
    window = _window(reached, grid)
    whole = window == (slice(0, grid.rows), slice(0, grid.columns))
    rgb = np.empty((grid.rows, grid.columns, 3), dtype=depth)
    if not (whole and placed.is_right_angled):
        rgb.fill(source.top)
    alpha = source.has_alpha

    def store(rows: slice, columns: slice, piece: NDArray[Any]) -> None:
        if not alpha:
            rgb[rows, columns] = piece
            if not placed.is_right_angled:
                rgb[rows, columns][cover[rows, columns] == 0] = source.top
            return
        opacity = piece[:, :, -1:]
        colour = piece[:, :, :-1] * (source.top / np.maximum(opacity, 1e-3 * source.top))
        shown = np.where(opacity > 0.002 * source.top, colour, source.top)
        rgb[rows, columns] = np.clip(shown + 0.5, 0, source.top)
        share = np.clip(opacity[:, :, 0] / source.top, 0.0, 1.0)
        cover[rows, columns] = cover[rows, columns] * share + np.float32(0.5)

    if window is not None:
        _fill(source, placed, grid, window, "cubic", _premultiplied if alpha else _as_is, store)
    return ArtPlane(rgb=rgb, cover=cover)


def line_plane(artwork: Artwork, placed: PlacedArt, grid: RasterGrid) -> TiledPlane:
    """The share of each pixel that line work inks, 255 for all of it.

    A picture with transparent parts inks where it is opaque, whatever its colour; any other inks
    where it is dark.
    """
    source = load_pixels(artwork, shrink=_shrink(placed, grid))
    ink = TiledCanvas(grid.rows, grid.columns)
    window = _window(placed.polygon, grid)
    if window is None:
        return ink.plane()
    by_alpha = source.uses_alpha
    top = np.float32(source.top)

    def inked_share(band: Pixels) -> NDArray[np.float32]:
        if by_alpha:
            return np.asarray(band[:, :, -1:] * (255 / top), dtype=np.float32)
        light = (band[:, :, 0].astype(np.float32) if band.shape[2] < 3
                 else band[:, :, :3].astype(np.float32) @ _LUMA)
        return np.asarray((255 - light * (255 / top))[:, :, None], dtype=np.float32)

    def store(rows: slice, columns: slice, piece: NDArray[Any]) -> None:
        inked = piece[:, :, 0]
        part = part_of(grid, rows, columns)
        if part is not None and inked.any():
            cut_to_art(inked, placed.polygon, part)
            ink.put(inked, rows.start, columns.start)

    _fill(source, placed, grid, window, "linear", inked_share, store, np.uint8)
    return ink.plane()


def _as_is(band: Pixels) -> Pixels:
    return band


def _premultiplied(band: Pixels) -> NDArray[np.float32]:
    """Colours weighted by alpha; the last channel stays alpha."""
    weighted = band.astype(np.float32)
    top = np.float32(np.iinfo(band.dtype).max)
    weighted[:, :, :-1] *= weighted[:, :, -1:] / top
    return weighted


def _shrink(placed: PlacedArt, grid: RasterGrid) -> float:
    """Art pixels to one grid pixel, along each side."""
    return grid.pixel_mm / placed.mm_per_px


def _window(art: Polygon, grid: RasterGrid) -> tuple[slice, slice] | None:
    """Rows and columns of the grid that the art touches."""
    least_x, least_y, greatest_x, greatest_y = art.bounds
    rows = slice(max(0, int(np.floor(grid.row_of(greatest_x)))),
                 min(grid.rows, int(np.ceil(grid.row_of(least_x)))))
    columns = slice(max(0, int(np.floor(grid.column_of(greatest_y)))),
                    min(grid.columns, int(np.ceil(grid.column_of(least_y)))))
    return (rows, columns) if rows.start < rows.stop and columns.start < columns.stop else None


def _fill(source: ArtPixels, placed: PlacedArt, grid: RasterGrid, window: tuple[slice, slice],
          kind: Filter, prepare: _Prepare, store: _Store, depth: _Depth = None) -> None:
    """Make every pixel of the window and hand them over, piece by piece.

    The pieces have the depth asked for, or that of what ``prepare`` gives.
    """
    rows, columns = window
    board_of_window = np.array([
        [0.0, -grid.pixel_mm, grid.top_x_mm - rows.start * grid.pixel_mm],
        [-grid.pixel_mm, 0.0, grid.left_y_mm - columns.start * grid.pixel_mm],
        [0.0, 0.0, 1.0]])
    stored_of_window = source.from_art @ placed.to_art @ board_of_window
    if placed.is_right_angled:
        _fill_upright(source, stored_of_window, window, kind, prepare, store, depth)
    else:
        _fill_turned(source, stored_of_window, window, kind, prepare, store, depth)


def _fill_upright(source: ArtPixels, matrix: NDArray[np.float64], window: tuple[slice, slice],
                  kind: Filter, prepare: _Prepare, store: _Store, depth: _Depth) -> None:
    """Window pixels whose rows run along the picture's rows or columns."""
    from preflight.art.resampling import taps

    rows, columns = window
    lying = matrix[0, 0] == 0.0  # window rows run along the picture's columns
    height, width = rows.stop - rows.start, columns.stop - columns.start
    many_down, many_across = (width, height) if lying else (height, width)
    scale_down, scale_across = (matrix[1, 0], matrix[0, 1]) if lying else (
        matrix[1, 1], matrix[0, 0])
    down = taps(scale_down * (np.arange(many_down) + 0.5) + matrix[1, 2],
                abs(scale_down), source.rows, kind)
    across = taps(scale_across * (np.arange(many_across) + 0.5) + matrix[0, 2],
                  abs(scale_across), source.columns, kind)

    def keep(first: int, piece: NDArray[Any]) -> None:
        if lying:
            turned = cv2.transpose(piece)
            turned = turned.reshape(*turned.shape[:2], -1)
            store(rows, slice(columns.start + first, columns.start + first + len(piece)), turned)
        else:
            store(slice(rows.start + first, rows.start + first + len(piece)), columns, piece)

    _resample_bands(source, down, across, prepare, keep, depth)


def _fill_turned(source: ArtPixels, matrix: NDArray[np.float64], window: tuple[slice, slice],
                 kind: Filter, prepare: _Prepare, store: _Store, depth: _Depth) -> None:
    """Window pixels at an angle to the picture: reduce it to their scale, then turn it."""
    from preflight.art.resampling import taps, warp

    rows, columns = window
    height, width = rows.stop - rows.start, columns.stop - columns.start
    step = max(1.0, float(np.hypot(*matrix[:2, 0])))
    corners = matrix @ np.array([[0, width, 0, width], [0, 0, height, height], [1.0] * 4])
    whole = np.array([source.columns, source.rows])
    low = np.clip(corners[:2].min(axis=1) - _WARP_HALO * step, 0, whole - 1)
    high = np.clip(corners[:2].max(axis=1) + _WARP_HALO * step, low + 1, whole)
    low = np.floor(low / step) * step
    counts = np.ceil((high - low) / step).astype(int)
    across, down = (taps(low[axis] + (np.arange(counts[axis]) + 0.5) * step, step,
                         int(whole[axis]), kind) for axis in (0, 1))
    reduced: list[NDArray[Any]] = []

    def keep(first: int, piece: NDArray[Any]) -> None:
        if not reduced:
            reduced.append(np.empty((counts[1], *piece.shape[1:]), dtype=piece.dtype))
        reduced[0][first:first + len(piece)] = piece

    _resample_bands(source, down, across, prepare, keep)
    picture = reduced[0]
    into = np.array([[1 / step, 0, -low[0] / step], [0, 1 / step, -low[1] / step], [0, 0, 1.0]])
    depth = depth or picture.dtype

    def turn(first: int) -> None:
        count = min(_CHUNK_ROWS, height - first)
        shift = np.array([[1.0, 0, 0], [0, 1, first], [0, 0, 1]])
        piece = np.empty((count, width, picture.shape[2]), dtype=depth)
        warp(picture, into @ matrix @ shift, kind, piece, _limit(piece))
        store(slice(rows.start + first, rows.start + first + count), columns, piece)

    with ThreadPoolExecutor(os.cpu_count()) as workers:
        list(workers.map(turn, range(0, height, _CHUNK_ROWS)))


def _resample_bands(source: ArtPixels, down: Any, across: Any, prepare: _Prepare,
                    keep: Callable[[int, NDArray[Any]], None], depth: _Depth = None) -> None:
    """Resample the picture in bands of output rows, several at once."""
    from preflight.art.resampling import Taps, resample

    many = len(down.first)
    rows_per_row = max(1.0, abs(int(down.first[-1]) - int(down.first[0])) / many)
    chunk = int(np.clip(_CHUNK_SOURCE_PIXELS / (source.columns * rows_per_row), 8, _CHUNK_ROWS))

    def make(first: int) -> None:
        part = slice(first, first + chunk)
        first_rows, weights = down.first[part], down.weights[part]
        low, high = int(first_rows.min()), int(first_rows.max()) + weights.shape[1]
        band = np.ascontiguousarray(prepare(source.band(low, high)))
        busy = _reached(band, across) if band.shape[2] == 1 else slice(0, len(across.first))
        made = np.empty((len(weights), busy.stop - busy.start, band.shape[2]),
                        dtype=depth or band.dtype)
        resample(band, Taps(first_rows - low, weights),
                 Taps(across.first[busy], across.weights[busy]), made, _limit(made))
        if made.shape[1] == len(across.first):
            keep(first, made)
            return
        piece = np.zeros((len(made), len(across.first), 1), dtype=made.dtype)
        piece[:, busy] = made
        keep(first, piece)

    starts = range(0, many, chunk)
    make(starts[0])
    with ThreadPoolExecutor(os.cpu_count()) as workers:
        list(workers.map(make, starts[1:]))


def _reached(band: NDArray[Any], across: Any) -> slice:
    """The output columns, at least one, that anything but 0 in a band can reach."""
    held = np.flatnonzero(band.any(axis=(0, 2)))
    if not len(held):
        return slice(0, 1)
    reached = np.flatnonzero((across.first + across.weights.shape[1] > held[0])
                             & (across.first <= held[-1]))
    return slice(int(reached[0]), int(reached[-1]) + 1) if len(reached) else slice(0, 1)


def _limit(pixels: NDArray[Any]) -> float:
    """The greatest value of whole-number pixels; 0 for float ones, which are left as they are."""
    return float(np.iinfo(pixels.dtype).max) if pixels.dtype.kind == "u" else 0.0
