"""The figure of a bamboo veneer, for the soft proof: invented, and plausible only.

Nothing here is measured. The figure is a function of board position and a seed: strips of
bamboo glued side by side along the board, each of its own tone, fibres along them, and a node
across a strip now and then.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from preflight.frames.raster_grid import RasterGrid

STRIP_MM = (18.0, 25.0)
NODE_SPACING_MM = (200.0, 350.0)
# fibre waves: period across, length along (both mm), share of the reflectance (standard deviation)
_FIBRES = ((0.40, 60.0, 0.012), (0.75, 90.0, 0.015), (1.9, 160.0, 0.012), (6.0, 320.0, 0.012))
_STRIP_TONE = 0.030
_REACH_MM = 2600.0
_TILE = (256, 4096)

Plane = NDArray[np.float32]


def bamboo_figure(grid: RasterGrid, seed: int) -> Plane:
    """Relative reflectance of an invented bamboo veneer: multiply the wood's own by it.

    Parameters
    ----------
    grid : RasterGrid
        Where to look at it; the same seed shows the same wood on any grid.
    seed : int
        Which piece of wood.

    Returns
    -------
    ndarray, shape (grid.rows, grid.columns), float32
        Factor of the reflectance, above 0: mean about 1 and standard deviation about 0.035 over
        a board.

    Notes
    -----
    Invented: strip widths, node spacing and tones are plausible for a laminated bamboo veneer,
    not measured. Waves too short for the grid's pixels are left out, as a camera would average
    them.
    """
    x = grid.row_centres_x_mm().astype(np.float32)
    y = grid.column_centres_y_mm().astype(np.float32)
    edges, tones = _strips(seed)
    strip = np.clip(np.searchsorted(edges, y) - 1, 0, len(tones) - 1)
    figure: Plane = np.zeros((grid.rows, grid.columns), np.float32)
    weight = _wave_weight()
    for number, (period_mm, length_mm, share) in enumerate(_FIBRES):
        carried = _carried(period_mm, grid.pixel_mm)
        if carried > 0.0:
            _lay_fibres(figure, x, y, strip, (period_mm, length_mm, share * carried),
                        np.random.default_rng((seed + 7 * number, 2)), weight)
    figure += _tone_across(y, edges, tones, grid.pixel_mm)[None, :]
    _add_nodes(figure, x, y, strip, edges, seed)
    figure += np.float32(1.0)
    return figure


def _strips(seed: int) -> tuple[NDArray[np.float64], Plane]:
    """Edges of the strips across the board, and each strip's tone."""
    rng = np.random.default_rng((seed, 1))
    count = 2 * math.ceil(_REACH_MM / STRIP_MM[0] / 2)
    widths = rng.uniform(*STRIP_MM, count)
    edges = np.concatenate([[0.0], np.cumsum(widths)])
    edges -= edges[count // 2] + rng.uniform(*STRIP_MM) / 2
    tones = np.clip(rng.standard_normal(count), -1.9, 1.9) * _STRIP_TONE
    return edges, tones.astype(np.float32)


def _tone_across(y: Plane, edges: NDArray[np.float64], tones: Plane, pixel_mm: float) -> Plane:
    """Each strip's tone, with a thin glue line at its edges, averaged over the pixels."""
    fine = max(1, math.ceil(pixel_mm / 0.05))
    at = (y[:, None] + (np.arange(fine) + 0.5) / fine * pixel_mm - pixel_mm / 2).astype(np.float64)
    strip = np.clip(np.searchsorted(edges, at) - 1, 0, len(tones) - 1)
    from_edge = np.minimum(at - edges[strip], edges[strip + 1] - at)
    tone = tones[strip] - 0.06 * np.exp(-((from_edge / 0.11) ** 2))
    averaged: Plane = tone.mean(axis=1).astype(np.float32)
    return averaged


def _carried(period_mm: float, pixel_mm: float) -> float:
    """How much of a wave's height is left when square pixels average it."""
    if period_mm < 2.0 * pixel_mm:
        return 0.0
    return float(np.sinc(pixel_mm / period_mm))


def _lay_fibres(figure: Plane, x: Plane, y: Plane, strip: NDArray[np.int64],
                wave: tuple[float, float, float], rng: np.random.Generator,
                weight: NDArray[np.float64]) -> None:
    """Add noise of one period across, length along (mm) and height, shifted for each strip."""
    from separations.proof.proof_kernel import add_fibres

    period_mm, length_mm, height = wave
    tile = _band_noise(rng, weight)
    shift = rng.uniform(0.0, 1.0, (4096, 2)) * _TILE
    across = y / period_mm * 6.0 + shift[strip, 1]
    begins = np.flatnonzero(np.diff(strip, prepend=-1))
    add_fibres(_sample_columns(tile, across), x / np.float32(length_mm / 6.0),
               np.append(begins, len(strip)), shift[strip[begins], 0].astype(np.float32),
               np.float32(height), figure)


def _sample_columns(tile: Plane, across: NDArray[np.float64]) -> Plane:
    """The tile's columns at fractional places, repeating, shape (tile rows + 1, len(across))."""
    left = np.floor(across).astype(np.int64)
    share = (across - left).astype(np.float32)
    drawn: Plane = tile[:, left % _TILE[1]] * (1 - share) + tile[:, (left + 1) % _TILE[1]] * share
    return np.concatenate([drawn, drawn[:1]])


def _wave_weight() -> NDArray[np.float64]:
    """What is left of each frequency where waves are of about six tile pixels both ways."""
    across = np.fft.rfftfreq(_TILE[1])[None, :] * 6.0
    along = np.fft.fftfreq(_TILE[0])[:, None] * 6.0
    return np.asarray(np.exp(-(((across - 1.0) / 0.35) ** 2) - along ** 2))


def _band_noise(rng: np.random.Generator, weight: NDArray[np.float64]) -> Plane:
    """Seamless noise of waves of those weights; standard deviation 1."""
    white = rng.standard_normal(_TILE, dtype=np.float32)
    tile = np.fft.irfft2(np.fft.rfft2(white) * weight, s=_TILE)
    scaled: Plane = (tile / tile.std()).astype(np.float32)
    return scaled


def _add_nodes(figure: Plane, x: Plane, y: Plane, strip: NDArray[np.int64],
               edges: NDArray[np.float64], seed: int) -> None:
    """Add darker bands across single strips, with a paler swelling beside each."""
    for number in np.unique(strip):
        rng = np.random.default_rng((seed, 3, int(number)))
        places = -_REACH_MM + rng.uniform(0.0, NODE_SPACING_MM[1]) + np.concatenate(
            [[0.0], np.cumsum(rng.uniform(*NODE_SPACING_MM, math.ceil(2 * _REACH_MM / 200.0)))])
        depth, slant, bow = (rng.uniform(0.07, 0.14, len(places)), rng.normal(0, 0.03, len(places)),
                             rng.normal(0.0, 1.4, len(places)))
        columns = np.flatnonzero(strip == number)
        inside = (y[columns] - edges[number]) / (edges[number + 1] - edges[number]) * 2 - 1
        for k in np.flatnonzero((places > x.min() - 25) & (places < x.max() + 25)):
            rows = np.flatnonzero(np.abs(x - places[k]) < 22.0)
            bent = slant[k] * 11 * inside + bow[k] * inside ** 2
            away = (x[rows, None] - places[k] - bent[None, :]).astype(np.float32)
            band = -depth[k] * np.exp(-(away / 1.5) ** 2) + 0.4 * depth[k] * np.exp(
                -((away - 4.2) / 3.2) ** 2) - 0.25 * depth[k] * np.exp(-((away + 4.5) / 4.0) ** 2)
            figure[np.ix_(rows, columns)] += band.astype(np.float32)
