"""The highest frequency at which a picture carries detail, as a share of what its pixels could."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.photo_quality.detail_windows import (
    Tiling,
    cut_windows,
    detail_origins,
    line_spectra,
    picture_tiles,
    window_side,
)
from preflight.photo_quality.edge_rise import edge_rise
from preflight.photo_quality.enlargement_models import spectrum_models
from preflight.photo_quality.resampling_period import Beat, find_beat
from preflight.photo_quality.spectrum_fit import misfits

#: Windows of most detail whose spectra are averaged.
_WINDOWS = 60
#: Variance (levels² of 255) under which a window has nothing to tell.
_LEAST_VARIANCE = 9.0
#: Models reach down to this share of the pixels along a line.
_LEAST_SHARE = 0.12
#: What is worth so little is measured once more, this many times smaller: no detail is lost by it.
_SOFT, _SMALLER = 0.17, 4
#: Edges that rise within so many true pixels were sharp once: those of the corpus' photos, enlarged
#: or blurred, within 2.5, those of made clouds and soft colours from 4 on.
_CRISP_PX = 3.0
#: Whether edges are crisp is asked of pictures that are worth less than this.
_CRISP_ASKED = 0.5
#: Rows and columns of the part where beat and edges are looked for; windows measured at a time.
_PART_PX = (1024, 1536)
_AT_ONCE = 32
# What follows was fitted on the tuning pictures of tests/published/test_true_resolution_corpus.py.
#: Squares of an edge's rise: for each enlargement² and for sampling; its spread (natural log).
_RISE_ENLARGED, _RISE_SAMPLED, _RISE_SHARPENED, _RISE_SPREAD = 0.78, 2.1, 0.84, 0.15
_RISE_WEIGHT, _RISE_MOST = 0.1, 9.0
_LEAST_MISFIT = 0.008
_BEAT_STRONG, _BEAT_WEIGHT = 4.3, 0.3
#: Of the two enlargements of a beat the larger is taken when they fit alike.
_SMALL_WEIGHT = 0.1
#: Their middle is told when they fit alike and either lies within so much (natural log) of it.
_ALIKE, _CLOSE = 0.7, 0.14
#: Directions are told apart where one fits its own best so much better than the common best
#: (natural log), and they differ so.
_APART, _UNLIKE = 1.2, 1.4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrueResolution:
    """What a picture's pixels are worth.

    Attributes
    ----------
    fraction : float or None
        True pixels to one pixel, along a line, at most 1; None when the picture is too small or
        too flat to tell.
    along_rows, along_columns : float
        The same in each direction; 1 where not known.
    enlarged_by : float or None
        The enlargement that left its beat in both directions.
    is_spread : bool
        Whether its edges would be crisp in as few pixels as it is worth: it was enlarged or
        blurred, and is not only soft as clouds are.
    tiles : Tiling
        Tiles over the picture.
    local : ndarray of float32, shape (tiles.rows, tiles.columns)
        `fraction` of each tile at its place of most detail; NaN where it has none.
    """

    fraction: float | None
    along_rows: float
    along_columns: float
    enlarged_by: float | None
    is_spread: bool
    tiles: Tiling
    local: NDArray[np.float32]


class TileDetail(NamedTuple):
    """The windows of most detail, one a tile, wherever the picture lies.

    ``origins`` (tiles, 2) of each; ``variance`` (tiles,); ``spectra`` along rows and columns,
    (tiles, bins) each; ``limits`` (tiles,) what each tile's pixels are worth, NaN where it has
    nothing to tell or nobody asked.
    """

    origins: NDArray[np.intp]
    variance: NDArray[np.float32]
    spectra: list[NDArray[np.float32]]
    limits: NDArray[np.float64]


def tile_detail(grey: NDArray[Any], *, top: int = 255,
                wanted: NDArray[np.bool_] | None = None) -> TileDetail | None:
    """Measure every tile of a picture by itself; None of one too small to tell.

    Parameters
    ----------
    grey, top
        As for `true_resolution`.
    wanted : ndarray of bool, shape of `picture_tiles`, optional
        Tiles whose ``limits`` matter; all if not given.
    """
    side = window_side(*grey.shape)
    if side == 0:
        return None
    origins = detail_origins(grey, picture_tiles(*grey.shape), side)
    variance, spectra = _measured(grey, origins, side, np.float32(top / 255))
    told = variance >= _LEAST_VARIANCE
    limits = np.full(len(origins), np.nan)
    few = spectrum_models(side // 2, few=True)
    flat = [_is_flat(power) for power in spectra]
    for number in np.flatnonzero(told if wanted is None else told & wanted.ravel()):
        found = [1.0 if covered[number] else
                 few.limit[int(np.argmin(misfits(power[number].astype(np.float64), few)))]
                 for power, covered in zip(spectra, flat, strict=True)]
        limits[number] = np.sqrt(found[0] * found[1])
    return TileDetail(origins=origins, variance=variance, spectra=spectra, limits=limits)


def true_resolution(
    grey: NDArray[Any], *, top: int = 255, wanted: NDArray[np.bool_] | None = None,
    with_map: bool = True, detail: TileDetail | None = None,
) -> TrueResolution:
    """Measure how fine a picture's detail really is.

    Parameters
    ----------
    grey : ndarray of uint8 or uint16, shape (rows, columns)
        Encoded lightness.
    top : int
        Its greatest value, 255 or 65535.
    wanted : ndarray of bool, shape of `picture_tiles`, optional
        Tiles that matter.
    with_map : bool
        Fill `TrueResolution.local` too.
    detail : TileDetail, optional
        What `tile_detail` says of all tiles, where that is known.

    Notes
    -----
    The limit is where detail has half its contrast; for an enlarged picture this is the limit of
    the small one. The spectrum of the most detailed windows, along rows and along columns, is held
    against models of untouched, blurred and enlarged pictures over a noise floor, with the same
    kernel both ways, and so is the rise of the sharpest strong edges; where a beat tells the
    enlargement exactly, it decides among them. Own method.
    """
    height, width = grey.shape
    side = window_side(height, width)
    tiles = picture_tiles(height, width)
    nothing = TrueResolution(
        fraction=None, along_rows=1.0, along_columns=1.0, enlarged_by=None, is_spread=False,
        tiles=tiles,
        local=np.full((tiles.rows, tiles.columns), np.nan, np.float32))
    if side == 0:
        return nothing
    unit = np.float32(top / 255)
    if detail is None:
        nowhere = np.zeros((tiles.rows, tiles.columns), np.bool_)
        detail = tile_detail(grey, top=top, wanted=wanted if with_map else nowhere)
        assert detail is not None
    origins, variance, spectra, limits = detail
    told = variance >= _LEAST_VARIANCE
    if wanted is not None:
        told &= wanted.ravel()
    if not told.any():
        return nothing
    most = np.argsort(np.where(told, -variance, 0.0), kind="stable")[:min(_WINDOWS, told.sum())]
    part = _part(grey, origins[most[0]] + side // 2) / unit
    rows, columns, enlarged_by = _limits(
        [spectrum[most].mean(axis=0, dtype=np.float64) for spectrum in spectra],
        find_beat(part), edge_rise(part))
    local = np.where(told, limits, np.nan)
    if np.sqrt(rows * columns) < _SOFT:
        rows, columns = _smaller(grey, (rows, columns), tiles, top=top, wanted=wanted)
    fraction = float(np.sqrt(rows * columns))
    return TrueResolution(
        fraction=fraction, along_rows=rows, along_columns=columns,
        is_spread=fraction < _CRISP_ASKED and _is_crisp(grey, origins[most[0]] + side // 2,
                                                        fraction, unit),
        tiles=tiles, enlarged_by=enlarged_by,
        local=local.reshape(tiles.rows, tiles.columns).astype(np.float32))


def _smaller(grey: NDArray[Any], told: tuple[float, float], tiles: Tiling, *, top: int,
             wanted: NDArray[np.bool_] | None) -> tuple[float, float]:
    """Shares along rows and columns of a very soft picture, measured where models reach."""
    small = cv2.resize(grey, None, fx=1 / _SMALLER, fy=1 / _SMALLER,
                       interpolation=cv2.INTER_AREA)
    of_small = picture_tiles(*small.shape)
    if wanted is not None:
        row, column = (np.minimum((np.arange(many) + 0.5) * of_small.tile_px * _SMALLER
                                  // tiles.tile_px, most - 1).astype(int)
                       for many, most in ((of_small.rows, tiles.rows),
                                          (of_small.columns, tiles.columns)))
        wanted = wanted[np.ix_(row, column)]
    found = true_resolution(small, top=top, wanted=wanted, with_map=False)
    if found.fraction is None:
        return told
    return found.along_rows / _SMALLER, found.along_columns / _SMALLER


def _is_crisp(grey: NDArray[Any], centre: NDArray[np.intp], share: float,
              unit: np.float32) -> bool:
    """Whether strong edges rise within a few pixels where a picture has but its true ones."""
    small = cv2.resize(grey, None, fx=share, fy=share, interpolation=cv2.INTER_AREA)
    rise_px = edge_rise(_part(small, (centre * share).astype(np.intp)) / unit)
    return rise_px is not None and rise_px < _CRISP_PX


def _part(grey: NDArray[Any], centre: NDArray[np.intp]) -> NDArray[np.float32]:
    """A part of the picture about its place of most detail, as it is."""
    spans = [slice(max(0, min(int(at) - most // 2, whole - most)), None)
             for at, whole, most in zip(centre, grey.shape, _PART_PX, strict=True)]
    rows, columns = (slice(span.start, span.start + most)
                     for span, most in zip(spans, _PART_PX, strict=True))
    return grey[rows, columns].astype(np.float32, order="C")


def _measured(grey: NDArray[Any], origins: NDArray[np.intp], side: int, unit: np.float32
              ) -> tuple[NDArray[np.float32], list[NDArray[np.float32]]]:
    """Variance, and spectra along rows and columns, of all windows, a few at a time."""
    variances, along = [], ([], [])  # type: ignore[var-annotated]
    for first in range(0, len(origins), _AT_ONCE):
        few = cut_windows(grey, origins[first:first + _AT_ONCE], side) / unit
        variances.append(few.var(axis=(1, 2)))
        for spectra, axis in zip(along, (2, 1), strict=True):
            spectra.append(line_spectra(few, axis))
    return np.concatenate(variances), [np.concatenate(spectra) for spectra in along]


def _limits(powers: list[NDArray[np.float64]], beat: Beat, rise_px: float | None
            ) -> tuple[float, float, float | None]:
    """Shares of the Nyquist frequency that carry detail, both ways, and the enlargement told."""
    flat = [bool(_is_flat(power)) for power in powers]
    if any(flat):
        power = powers[flat.index(False)] if not all(flat) else None
        other = 1.0 if power is None else _alone(power)
        return (other if not flat[0] else 1.0), (other if not flat[1] else 1.0), None
    models = spectrum_models(len(powers[0]) - 1)
    ways = np.stack([misfits(power, models) for power in powers])
    # The natural fall may differ in the two directions, the kernel does not.
    ways = ways.reshape(2, -1, models.slopes).min(axis=2)
    kernels = np.array(models.kernel[::models.slopes])
    edge, limit = models.edge[::models.slopes], models.limit[::models.slopes]
    score = by_spectrum = np.log(ways.mean(axis=0) + _LEAST_MISFIT)
    if rise_px is not None:
        sharpened = np.array(models.sharpened[::models.slopes])
        expected = np.sqrt(_RISE_ENLARGED / edge**2 + _RISE_SAMPLED) * np.where(
            sharpened, _RISE_SHARPENED, 1.0)
        away = np.log(rise_px / expected) / _RISE_SPREAD
        score = score + _RISE_WEIGHT * np.minimum(away**2, _RISE_MOST)
    best = int(np.argmin(score))
    if beat.strength > _BEAT_STRONG:
        enlarging = ~np.isin(kernels, ("", "blur"))
        found = []
        for share in beat.edges:
            near = enlarging & (np.abs(edge / share - 1) < 0.045)
            if near.any():
                found.append((float(score[near].min()) + (_SMALL_WEIGHT if share > 0.5 else 0.0),
                              share))
        allowed = min(_BEAT_WEIGHT * (beat.strength - _BEAT_STRONG) + 0.5, 1.5)
        if found and min(found)[0] < score[best] + allowed:
            share = min(found)[1]
            middle = float(np.sqrt(beat.edges[0] * beat.edges[-1]))
            alike = len(found) > 1 and max(found)[0] - min(found)[0] < _ALIKE
            told = middle if alike and abs(np.log(share / middle)) < _CLOSE else share
            return told, told, 1 / share
    separate = [float(limit[int(np.argmin(way))]) for way in ways]
    common = ways[:, int(np.argmin(ways.mean(axis=0)))]
    apart = float(np.log((common + _LEAST_MISFIT) / (ways.min(axis=1) + _LEAST_MISFIT)).max())
    if apart > _APART and max(separate) > _UNLIKE * min(separate):
        return separate[0], separate[1], None
    # Without a beat a picture may be as its scene is: the rise of its edges does not lower it.
    either = max(_LEAST_SHARE, float(limit[best]), float(limit[int(np.argmin(by_spectrum))]))
    return either, either, None


def _alone(power: NDArray[np.float64]) -> float:
    models = spectrum_models(len(power) - 1)
    return float(models.limit[int(np.argmin(misfits(power, models)))])


def _is_flat(power: NDArray[Any]) -> NDArray[np.bool_]:
    """Whether noise covers all: then nothing says that detail ends before the pixels do.

    One answer for each spectrum along the last axis.
    """
    bins = power.shape[-1]
    usual = np.median(power[..., bins // 2:], axis=-1)
    return np.asarray(power[..., 2:6].mean(axis=-1) < 4 * usual)
