"""Measure one placed photograph: read it once, look at it in every way."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any, NamedTuple, Protocol, TypeVar

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from preflight.art.artwork import Artwork
from preflight.art.artwork_pixels import ArtPixels, LoadPixels, load_pixels
from preflight.art.damage.block_borders import BLOCK_PX
from preflight.art.placement import PlacedArt
from preflight.board.points_within import points_within
from preflight.findings import Place
from preflight.photo_quality.banding import banding
from preflight.photo_quality.clipping import clipping
from preflight.photo_quality.detail_windows import Tiling, picture_tiles
from preflight.photo_quality.enlarged_blocks import enlarged_blocks
from preflight.photo_quality.filtered_texture import filtered_texture
from preflight.photo_quality.jpeg_blocking import jpeg_blocking
from preflight.photo_quality.noise import cell_noise
from preflight.photo_quality.own_orientation import Oriented, own_orientation
from preflight.photo_quality.photo_facts import PhotoFacts
from preflight.photo_quality.true_resolution import tile_detail, true_resolution

_BAND_PX = 8_000_000
#: Longer side of a photograph's preview in pixels.
_PREVIEW_PX = 900


Measured = TypeVar("Measured")


class Turned(NamedTuple):
    """How a picture lies in its own orientation, and its rows and columns there."""

    to_given: NDArray[np.float64]
    shape: tuple[int, ...]


class KeepMeasured(Protocol):
    """Whatever keeps what was measured, by a name and the plain values that decide it."""

    def __call__(self, name: str, values: tuple[object, ...],
                 make: Callable[[], Measured]) -> Measured:
        """What was kept, or what ``make`` gives."""


def measure_photo(
    artwork: Artwork, placed: PlacedArt, printed: Polygon, *, file: str, ruling_lpcm: float,
    load: LoadPixels = load_pixels, keep: KeepMeasured | None = None,
) -> PhotoFacts:
    """Measure what a photograph's pixels hold.

    Parameters
    ----------
    artwork, placed
        The photograph and where it lies.
    printed : Polygon
        The printed area in board mm: what lies outside does not count.
    file : str
        What findings call it.
    ruling_lpcm : float
        The finest ruling that prints it, lines per cm.
    load : callable
        Decodes the picture; one that keeps it where several look at it.
    keep : callable, optional
        One that keeps what was measured, for a photograph that is only moved: most of it does not
        depend on the place, the rest on which tiles are printed.

    Raises
    ------
    InputProblem
        When the file is damaged.
    """
    source = load(artwork)
    top, shape = source.top, (source.rows, source.columns)

    @cache
    def read() -> tuple[NDArray[Any], NDArray[Any], NDArray[np.bool_] | None]:
        return _read(source)

    @cache
    def upright() -> Oriented:
        return own_orientation(read()[1])

    def of_pixels(measure: Callable[..., Any], make: Callable[[], Measured],
                  *besides: object) -> Measured:
        return make() if keep is None else keep(measure.__name__, (artwork, *besides), make)

    to_board = placed.to_board @ np.linalg.inv(source.from_art)
    tiles = picture_tiles(*shape)
    wanted = _printed_tiles(tiles, shape, to_board, printed)
    turned = of_pixels(own_orientation, lambda: Turned(upright().to_given, upright().grey.shape))
    upright_to_board, true_shape = to_board @ turned.to_given, turned.shape
    true_tiles = picture_tiles(*true_shape)
    true_wanted = _printed_tiles(true_tiles, true_shape, upright_to_board, printed)
    detail = of_pixels(tile_detail, lambda: tile_detail(upright().grey, top=top))
    true = of_pixels(true_resolution, lambda: true_resolution(
        upright().grey, top=top, wanted=true_wanted, detail=detail), true_wanted.tobytes())
    softest = np.where(np.isfinite(true.local), 1 / true.local, 0.0)
    blocks = of_pixels(jpeg_blocking, lambda: jpeg_blocking(read()[1], tiles, top=top))
    large = of_pixels(enlarged_blocks, lambda: enlarged_blocks(
        read()[1], tiles, share=true.fraction, top=top), true.fraction)
    bands = of_pixels(banding, lambda: banding(
        read()[0][:, :, 1 if read()[0].shape[2] > 2 else 0], tiles, top=top))
    ends = of_pixels(clipping, lambda: clipping(
        read()[0], tiles, top=top, wanted=wanted, hidden=read()[2]), wanted.tobytes())
    filtered = of_pixels(filtered_texture, lambda: filtered_texture(
        read()[1], tiles, top=top, wanted=wanted), wanted.tobytes())
    lightness = _lightness(artwork)
    cell_px = 10 / ruling_lpcm / placed.mm_per_px
    noise = of_pixels(cell_noise, lambda: cell_noise(
        read()[1], cell_px, lightness, top=top), cell_px)
    per_level = float((lightness[200] - lightness[50]) / 150)

    def worst(values: NDArray[Any]) -> Place | None:
        return _worst(values, tiles, shape, to_board, printed)

    scale = np.diag([true_tiles.tile_px, true_tiles.tile_px, 1.0])
    preview = of_pixels(_preview, lambda: _preview(read()[0], top))
    to_preview = np.diag([source.columns / preview.shape[1], source.rows / preview.shape[0], 1.0])
    return PhotoFacts(
        file=file, ppi=placed.ppi, true_fraction=true.fraction, enlarged_by=true.enlarged_by,
        is_spread=true.is_spread,
        true_ppi_map=(true.local * np.float32(placed.ppi)), map_to_board=upright_to_board @ scale,
        preview=preview, preview_to_board=to_board @ to_preview,
        place_softest=_worst(softest, true_tiles, true_shape, upright_to_board, printed),
        block_step=max(blocks.step, large.step) * per_level,
        block_px=large.block_px if large.step > blocks.step else BLOCK_PX,
        place_blocks=worst(large.local if large.step > blocks.step else blocks.local),
        stepped=bands.stepped, step_l_star=bands.step_levels * per_level,
        missing_levels=bands.missing, place_stepped=worst(bands.local),
        blown=ends.blown, place_blown=worst(ends.local_blown),
        blocked=ends.blocked, place_blocked=worst(ends.local_blocked),
        cell_noise=noise.l_star, noise_is_fine=noise.is_fine,
        cell_ruling_lpcm=ruling_lpcm,
        place_noise=_quiet_place(noise.local, noise.l_star, noise.block_px, to_board, printed),
        filter_marks=filtered.marks,
        place_filtered=_place(to_board, filtered.worst_px) if filtered.worst_px else None)


def _read(source: ArtPixels) -> tuple[NDArray[Any], NDArray[Any], NDArray[np.bool_] | None]:
    """The colours without alpha, encoded lightness, and where nothing shows; there it is white."""
    depth = np.uint8 if source.top == 255 else np.uint16
    channels = source.channels - source.has_alpha
    grey: NDArray[Any] = np.empty((source.rows, source.columns), dtype=depth)
    bands: list[NDArray[Any]] = []
    unseen: list[NDArray[np.bool_]] = []
    step = max(1, _BAND_PX // source.columns) if source.has_alpha else source.rows
    for row in range(0, source.rows, step):
        band: NDArray[Any] = source.band(row, min(row + step, source.rows))
        if source.has_alpha:
            hidden = band[:, :, -1] == 0
            band = np.ascontiguousarray(band[:, :, :-1])
            band[hidden] = source.top
            unseen.append(hidden)
        bands.append(band)
        grey[row:row + len(band)] = (band[:, :, 0] if channels == 1
                                     else cv2.cvtColor(band, cv2.COLOR_RGB2GRAY))
    return (bands[0] if len(bands) == 1 else np.concatenate(bands)), grey, (
        np.concatenate(unseen) if unseen else None)


def _preview(colour: NDArray[Any], top: int) -> NDArray[np.uint8]:
    """The colours in 8 bits, made small."""
    rows, columns = colour.shape[:2]
    shrink = max(1.0, max(rows, columns) / _PREVIEW_PX)
    size = max(1, round(columns / shrink)), max(1, round(rows / shrink))
    small = cv2.resize(colour, size, interpolation=cv2.INTER_AREA).reshape(*size[::-1], -1)
    if top > 255:
        small = np.asarray(small >> 8, np.uint8)
    return small if small.shape[2] > 1 else np.repeat(small, 3, axis=2)


def _lightness(artwork: Artwork) -> NDArray[np.float64]:
    """L* of the grey levels 0 to 255 by the picture's own profile."""
    level = np.linspace(0.0, 1.0, 256)
    return np.asarray(artwork.colour.lab(np.stack([level] * 3, axis=-1))[:, 0])


def _worst(values: NDArray[Any], tiles: Tiling, shape: tuple[int, ...],
           to_board: NDArray[np.float64], printed: Polygon) -> Place | None:
    """The printed tile with the greatest value; None where none has any."""
    height, width = shape
    inside = _printed_tiles(tiles, shape, to_board, printed)
    shown = np.where(inside, np.nan_to_num(values, nan=0.0), 0.0)
    if not shown.max() > 0:
        return None
    row, column = np.unravel_index(int(np.argmax(shown)), shown.shape)
    return _place(to_board, tiles.box_px(int(row), int(column), height, width))


def _printed_tiles(tiles: Tiling, shape: tuple[int, ...], to_board: NDArray[np.float64],
                   printed: Polygon) -> NDArray[np.bool_]:
    """Tiles whose middle lies in the printed area; all of them when none does."""
    rows, columns = np.mgrid[:tiles.rows, :tiles.columns]
    x = (columns * tiles.tile_px + np.minimum((columns + 1) * tiles.tile_px, shape[1])) / 2
    y = (rows * tiles.tile_px + np.minimum((rows + 1) * tiles.tile_px, shape[0])) / 2
    board = to_board[:2, :2] @ np.stack([x.ravel(), y.ravel()]) + to_board[:2, 2:]
    inside = points_within(printed, board[0], board[1]).reshape(x.shape)
    return np.asarray(inside if inside.any() else np.ones_like(inside))


def _quiet_place(local: NDArray[np.float64], level: float, block_px: float,
                 to_board: NDArray[np.float64], printed: Polygon) -> Place | None:
    """The printed block whose noise comes nearest to the level told."""
    for spot in np.argsort(np.abs(np.nan_to_num(local, nan=1e9) - level), axis=None)[:40]:
        row, column = divmod(int(spot), local.shape[1])
        place = _place(to_board, (column * block_px, row * block_px,
                                  (column + 1) * block_px, (row + 1) * block_px))
        if points_within(printed, *place.centre_mm).all() and level > 0:
            return place
    return None


def _place(to_board: NDArray[np.float64], box_px: tuple[float, float, float, float]) -> Place:
    left, upper, right, lower = box_px
    corners = np.array([[left, right, right, left], [upper, upper, lower, lower], [1, 1, 1, 1]])
    x, y, _ = to_board @ corners
    return Place(least_x_mm=float(x.min()), least_y_mm=float(y.min()),
                 greatest_x_mm=float(x.max()), greatest_y_mm=float(y.max()))
