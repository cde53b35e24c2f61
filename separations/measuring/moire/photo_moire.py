"""Fine patterns of the photograph (fences, ripples, weave) against the halftones that print it.

A tint whose tone waves finely makes each harmonic of the dots swell and shrink with it, so the
print shows the difference of the two: the amplitude of the wave times how fast the harmonic grows
with the tone. The photograph is cut into tiles, and each tile's spectrum is held against each ink.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray
from scipy.fft import rfft2

from preflight.art.art_plane import photo_plane
from preflight.art.artwork_pixels import LoadPixels, load_pixels
from preflight.facts.moire_facts import SEEN_WHEN_LOOKED_FOR, MoireFacts
from preflight.facts.submission import ArtOnBoard
from preflight.findings import Place
from preflight.frames.raster_grid import RasterGrid, grid_over
from preflight.press.contrast_sensitivity import sensitivity_to
from preflight.press.halftone_spec import DotShape
from preflight.units import MM_PER_INCH
from separations.measuring.moire.beat_strength import dot_waves, light_of_cover
from separations.measuring.moire.mesh_moire import TintInk
from separations.planes.art_separation import ArtSeparation
from separations.planes.laid_out_job import LaidOutJob

#: Pixels along a tile and from tile to tile.
TILE, HOP = 64, 48
#: Tiles transformed in one go.
_TILES_AT_ONCE = 256
#: Pixels a line at which the photograph is looked at: patterns near the ruling are still held.
_PIXELS_PER_LINE = 2.4
#: Tiles whose fine detail varies less than this (standard deviation of tone) hold no pattern.
_LEAST_DETAIL = 0.01
#: An ink takes at most this many times the photograph's own swing of tone.
_MOST_SHARE = 1.5
_TONES = np.linspace(0.05, 0.95, 19)
_ORDERS = ((1, 0), (0, 1), (1, 1), (1, -1))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tiles:
    """The photograph's tiles that hold fine detail.

    Attributes
    ----------
    waves : NDArray of float32, shape (N, 64, 33)
        Amplitude of tone (0 to 1) at each frequency.
    tone : NDArray of float64, shape (N,)
        Mean tone, 0 (white) to 1.
    row, column : NDArray of int64, shape (N,)
        First pixel of each.
    grid : RasterGrid
        Where the pixels lie.
    """

    waves: NDArray[np.float32]
    tone: NDArray[np.float64]
    row: NDArray[np.int64]
    column: NDArray[np.int64]
    grid: RasterGrid

    def frequencies(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Frequency along x (64, 1) and y (1, 33) of the board, cycles per mm."""
        step = self.grid.pixel_mm
        return (np.asarray(-np.fft.fftfreq(TILE, step)[:, None], np.float64),
                np.asarray(-np.fft.rfftfreq(TILE, step)[None, :], np.float64))


def photo_tiles(laid: LaidOutJob, finest_lpcm: float,
                load: LoadPixels = load_pixels) -> tuple[Tiles | None, ...]:
    """Each photograph's tiles of fine detail, for halftones up to so many lines per cm."""
    return tuple(tiles_of(art, laid.area.image_bounds, finest_lpcm, load)
                 for art in laid.art if art.table.kind == "photo")


def photo_moire(tiles: Sequence[Tiles | None], separation: ArtSeparation, number: int,
                ink: TintInk) -> tuple[MoireFacts | None, ...]:
    """The strongest beat of one ink with each photograph, None where it has none.

    Parameters
    ----------
    tiles : sequence of Tiles or None
        From `photo_tiles`.
    separation : ArtSeparation
        How much of each ink lies where.
    number, ink : int, TintInk
        The ink and the number of its plane.
    """
    return tuple(None if one is None else
                 strongest_with(one, ink, _ink_tones(one, separation, number)) for one in tiles)


def tiles_of(art: ArtOnBoard, bounds_mm: tuple[float, float, float, float],
             finest_lpcm: float, load: LoadPixels = load_pixels) -> Tiles | None:
    """Cut a photograph where it lies on the board into tiles; None if no tile has fine detail."""
    ppi = min(art.placed.ppi, _PIXELS_PER_LINE * finest_lpcm * MM_PER_INCH / 10)
    grid = grid_over(bounds_mm, MM_PER_INCH / ppi)
    if min(grid.rows, grid.columns) < TILE:
        return None
    seen = photo_plane(art.artwork, art.placed, grid, load=load)
    top = np.float32(np.iinfo(seen.rgb.dtype).max)
    grey = np.asarray(cv2.cvtColor(seen.rgb, cv2.COLOR_RGB2GRAY), np.float32) / top
    return tiles_in(1 - grey, grid)


def tiles_in(tone: NDArray[np.float32], grid: RasterGrid) -> Tiles | None:
    """Cut a plane of tones (0 to 1) into windowed tiles and transform those with fine detail."""
    fine = cv2.absdiff(tone, cv2.blur(tone, (5, 5)))
    steps = slice(None, None, HOP)
    busy = cv2.boxFilter(fine, -1, (TILE, TILE), anchor=(0, 0))
    busy = busy[:tone.shape[0] - TILE + 1, :tone.shape[1] - TILE + 1][steps, steps]
    row, column = np.nonzero(busy > _LEAST_DETAIL)
    if not row.size:
        return None
    tiles = sliding_window_view(tone, (TILE, TILE))[steps, steps]
    mean = np.empty(row.size, np.float32)
    window = np.outer(np.hanning(TILE), np.hanning(TILE)).astype(np.float32)
    waves = np.empty((row.size, TILE, TILE // 2 + 1), np.float32)
    for first in range(0, row.size, _TILES_AT_ONCE):
        some = slice(first, first + _TILES_AT_ONCE)
        cut = tiles[row[some], column[some]]
        mean[some] = cut.mean(axis=(1, 2))
        waves[some] = np.abs(rfft2((cut - mean[some, None, None]) * window))
    waves *= np.float32(2 / window.sum())
    return Tiles(waves=waves, tone=mean.astype(np.float64), row=row * HOP, column=column * HOP,
                 grid=grid)


def strongest_with(tiles: Tiles, ink: TintInk, ink_tones: NDArray[np.float64]) -> MoireFacts | None:
    """The strongest beat of one ink's dots with any tile.

    Parameters
    ----------
    tiles : Tiles
        The photograph.
    ink : TintInk
        The ink.
    ink_tones : NDArray of float64, shape (N,)
        The ink's mean tone (0 to 1) in each tile; its swing is the photograph's in proportion.
    """
    from separations.measuring.moire.moire_kernels import strongest_waves

    share = np.minimum(ink_tones / np.maximum(tiles.tone, 0.02), _MOST_SHARE)
    nearest = np.clip(np.rint((ink_tones - _TONES[0]) / (_TONES[1] - _TONES[0])), 0,
                      len(_TONES) - 1).astype(np.int64)
    light = np.array([light_of_cover(t, ink.wood_y, ink.solid_y) for t in _TONES])
    best: tuple[float, int, int, int, tuple[float, float]] | None = None
    fx, fy = tiles.frequencies()
    most = np.empty(len(tiles.tone), np.float32)
    grown = _growth(ink.spec.dot_shape)
    for order in _ORDERS:
        x, y = _vector(ink, order)
        growth = grown[:, order[0], order[1]]
        for sign in (1, -1):
            away = np.hypot(fx - sign * x, fy - sign * y)
            weight = np.where(away < ink.most_per_mm, sensitivity_to(away), 0).astype(np.float32)
            rows, columns = (np.flatnonzero(weight.any(axis=axis)) for axis in (1, 0))
            if not rows.size:
                continue
            counts = np.ascontiguousarray(weight[rows, columns[0]:columns[-1] + 1])
            strongest_waves(tiles.waves, rows, columns[0], counts,
                            np.empty(counts.shape[1], np.float32), most)
            times = most * share * (growth * light)[nearest]
            tile = int(np.argmax(times))
            if best is None or times[tile] > best[0]:
                at = divmod(int(np.argmax(tiles.waves[tile] * weight)), weight.shape[1])
                best = (float(times[tile]), tile, *at, (sign * x, sign * y))
    if best is None:
        return None
    times_threshold, tile, row, column, (x, y) = best
    beat_x, beat_y = float(fx[row, 0]) - x, float(fy[0, column]) - y
    frequency = max(math.hypot(beat_x, beat_y), 1 / (TILE * tiles.grid.pixel_mm))
    seen = times_threshold >= SEEN_WHEN_LOOKED_FOR
    tone = float(ink_tones[tile])
    return MoireFacts(
        partner="photograph", inks=(ink.name,), period_mm=1 / frequency,
        direction_deg=math.degrees(math.atan2(beat_y, beat_x)) % 180,
        contrast=times_threshold / float(sensitivity_to(frequency)),
        times_threshold=times_threshold, tone=tone, tones_seen=(tone,) if seen else (),
        order=f"a pattern {1 / math.hypot(fx[row, 0], fy[0, column]):.2f} mm apart against the "
              "dots",
        place=_place(tiles, tile))


def _growth(shape: DotShape) -> NDArray[np.float64]:
    """|dD/dt| of each harmonic at each of the tones, shape (tones, 64, 64)."""
    step = 0.02
    ends = [(dot_waves(shape, round(t - step, 4)), dot_waves(shape, round(t + step, 4)))
            for t in _TONES]
    return np.stack([np.abs(above - below) / (2 * step) for below, above in ends])


def _vector(ink: TintInk, order: tuple[int, int]) -> tuple[float, float]:
    turn, ruling = math.radians(ink.spec.angle_deg), ink.spec.ruling_lpcm / 10
    k, j = order
    return (ruling * (k * math.cos(turn) - j * math.sin(turn)),
            ruling * (k * math.sin(turn) + j * math.cos(turn)))


def _ink_tones(tiles: Tiles, separation: ArtSeparation, number: int) -> NDArray[np.float64]:
    """The ink's mean tone in each tile."""
    from separations.measuring.moire.moire_kernels import box_means

    scale = tiles.grid.pixel_mm / separation.grid.pixel_mm
    plane = np.ascontiguousarray(separation.planes[number])
    rows, columns = (np.clip(((first + TILE / 2) * scale).astype(np.int64), 0, count - 1)
                     for first, count in zip((tiles.row, tiles.column), plane.shape, strict=True))
    means = np.empty(len(rows))
    box_means(plane, rows, columns, max(1, round(TILE * scale)), means)
    return np.rint(means) / 65_535.0


def _place(tiles: Tiles, tile: int) -> Place:
    grid = tiles.grid
    x = grid.top_x_mm - float(tiles.row[tile]) * grid.pixel_mm
    y = grid.left_y_mm - float(tiles.column[tile]) * grid.pixel_mm
    side = TILE * grid.pixel_mm
    return Place(least_x_mm=x - side, greatest_x_mm=x, least_y_mm=y - side, greatest_y_mm=y)
