"""A monotone tone curve through one ink's wedge, with its uncertainty.

Film tones mix bare wood and solid by area. In the reading's reflectance to the power 1/n that
mixture is a straight line (Murray and Davies for n = 1, else Yule and Nielsen), so the wood, the
solid and the curve are found together by one least-squares fit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import nnls

from separations.uses.calibration.wedge_signals import WedgeSignal

FloatArray = NDArray[np.float64]

#: Cells of equal film tone in which the curve has one slope each.
_CELLS = 40
#: Film tones at which the curve is told.
CURVE_TONES: FloatArray = np.array([0.0, 2.5, *range(5, 100, 5), 97.5, 100.0]) / 100
#: Smoothing weights tried, in the units of the curve's third derivative.
_SMOOTHINGS = np.geomspace(1e-4, 1e2, 7)
#: Smoothings less likely than this share of the likeliest are left out.
_LEAST_SHARE = 0.02
#: How many readings the expected noise counts as when the noise is judged.
_NOISE_TRUST = 6.0
#: Readings further off than this many times the noise have no part in the fit.
MOST_OFF = 4.0
#: Readings off by more than this pull with constant force. Source: Huber 1964.
_HUBER = 1.5
_ROUNDS = 4
#: Differences of the slopes that are kept small.
_ORDER = 2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CurveFit:
    """A fitted curve.

    Attributes
    ----------
    film, printed, sd : ndarray, shape (M,), float64
        Film tones, area under ink and its standard deviation, 0 to 1.
    areas : ndarray, shape (N,), float64
        Area that each reading stands for by itself; outside 0 to 1 where noise took it.
    area_sd : ndarray, shape (N,), float64
        Noise of each area.
    off : ndarray, shape (N,), float64
        Reading minus curve over its noise; positive prints darker.
    used : ndarray, shape (N,), bool
        Whether the reading had a part in the fit.
    noise : float
        Noise found over the noise expected.
    """

    film: FloatArray
    printed: FloatArray
    sd: FloatArray
    areas: FloatArray
    area_sd: FloatArray
    off: FloatArray
    used: NDArray[np.bool_]
    noise: float

    def area_at(self, tones: FloatArray) -> FloatArray:
        """Area under ink (0 to 1) at film tones (0 to 1)."""
        return np.asarray(areas_at((self,), tones)[0])


def areas_at(curves: Sequence[CurveFit], tones: FloatArray) -> FloatArray:
    """Area under ink (0 to 1) by several curves, shape (curves, tones), at film tones (0 to 1)."""
    from scipy.interpolate import PchipInterpolator

    printed = np.stack([curve.printed for curve in curves])
    return np.asarray(np.clip(PchipInterpolator(CURVE_TONES, printed, axis=1)(tones), 0.0, 1.0))


def fit_curve(wedge: WedgeSignal, *, with_sd: bool = True, slips: bool = True) -> CurveFit:
    """Fit wood, solid and a rising curve to a wedge; readings that are far off are left out.

    Without ``with_sd`` its deviations are NaN, which spares most of the time.

    Parameters
    ----------
    wedge : WedgeSignal
        At least five readings, bare wood and solid among them, the solid's signal lower.
    slips : bool
        Whether readings may be far off; made-up ones are not, and none is left out.

    Notes
    -----
    Slopes that are never negative, smoothed by their second differences, less near the ends. The
    curve is the mean over all smoothings, each weighed by its restricted likelihood, with the
    expected noise as a few readings' worth of evidence. The uncertainty is the spread of the
    fits, without regard to monotonicity, and between them.
    Of what 0.01 of density noise leaves to be known: tests/published/test_wedge_noise_floor.py.
    Source: smoothing as estimation, Wahba 1985; robust weights, Huber 1964; means over models by
    likelihood, Hoeting, Madigan, Raftery and Volinsky 1999 (from memory, unverified).
    """
    rise = float(np.median(wedge.signal[wedge.tones <= 0.0])
                 - np.median(wedge.signal[wedge.tones >= 1.0]))
    design = np.column_stack([np.ones(len(wedge.tones)), -rise * _cells_below(wedge.tones)])
    weights = np.ones(len(wedge.tones))
    if not slips:
        return _curve_of(wedge, design, weights > 0.0, rise, with_sd=with_sd)
    smoothing = _likely_smoothings(design, wedge, weights)[0].smoothing
    for _ in range(_ROUNDS):
        found, _ = _solve(design, wedge, weights, smoothing)
        off = (wedge.signal - design @ found) / wedge.sd
        noise = max(1.0, 1.4826 * float(np.median(np.abs(off))))
        weights = np.minimum(1.0, _HUBER * noise / np.maximum(np.abs(off), 1e-12))
    used = np.abs(off) <= MOST_OFF * noise
    return _curve_of(wedge, design, used, rise, with_sd=with_sd)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Smoothing:
    """A smoothing weight, the noise over expected that goes with it, and how likely it is."""

    smoothing: float
    noise: float
    share: float


def _curve_of(wedge: WedgeSignal, design: FloatArray, used: NDArray[np.bool_], rise: float, *,
              with_sd: bool) -> CurveFit:
    """The mean of the curves of all likely smoothings, and the spread within and between them."""
    weights = used.astype(np.float64)
    cells = _cells_below(CURVE_TONES)
    level, noise = np.zeros(design.shape[1]), 0.0
    curves, spreads, shares = [], [], []
    for likely in _likely_smoothings(design, wedge, weights):
        found, stacked = _solve(design, wedge, weights, likely.smoothing)
        total = float(found[1:].mean())
        printed = np.clip(cells @ found[1:] / total, 0.0, 1.0)
        curves.append(printed)
        spreads.append(_spread(cells, printed, total, stacked) * likely.noise**2 if with_sd
                       else np.full(len(printed), np.nan))
        shares.append(likely.share)
        level += likely.share * found
        noise += likely.share * likely.noise
    printed = np.average(curves, axis=0, weights=shares)
    printed[0], printed[-1] = 0.0, 1.0
    spread = np.average(np.maximum(spreads, 0.0) + (curves - printed)**2, axis=0, weights=shares)
    fall = rise * float(level[1:].mean())
    return CurveFit(
        film=CURVE_TONES, printed=np.maximum.accumulate(printed), sd=np.sqrt(spread),
        areas=(level[0] - wedge.signal) / fall, area_sd=wedge.sd / abs(fall),
        off=(design @ level - wedge.signal) / wedge.sd / noise, used=used, noise=noise)


def _spread(cells: FloatArray, printed: FloatArray, total: float, stacked: FloatArray
            ) -> FloatArray:
    """Variance of a curve, which is a ratio, for noise of one expected deviation."""
    lean = (cells - printed[:, None] / _CELLS) / total
    covariance = np.linalg.pinv(stacked.T @ stacked, hermitian=True)[1:, 1:]
    return np.asarray(np.einsum("ij,jk,ik->i", lean, covariance, lean))


def _cells_below(tones: FloatArray) -> FloatArray:
    """How much of each cell lies below each tone; rows sum to the tone."""
    return np.clip(tones[:, None] * _CELLS - np.arange(_CELLS), 0.0, 1.0) / _CELLS


def _solve(design: FloatArray, wedge: WedgeSignal, weights: FloatArray,
           smoothing: float) -> tuple[FloatArray, FloatArray]:
    """Signal of the wood, then the slopes; and the equations that they solve."""
    scale = np.sqrt(weights) / wedge.sd
    differences = _differences()
    rough = np.sqrt(smoothing) * np.column_stack([np.zeros(len(differences)), differences])
    stacked = np.vstack([design * scale[:, None], rough])
    found, _ = nnls(stacked, np.append(wedge.signal * scale, np.zeros(len(rough))), maxiter=5000)
    return found, stacked


def _likely_smoothings(design: FloatArray, wedge: WedgeSignal,
                       weights: FloatArray) -> list[_Smoothing]:
    """Smoothing weights by restricted likelihood, the likeliest first, shares summing to 1."""
    scale = np.sqrt(weights) / wedge.sd
    rows, target = design * scale[:, None], wedge.signal * scale
    # what differences do not touch: wood, and slopes that lie on a straight line
    straight = np.vander(np.linspace(-1.0, 1.0, _CELLS), _ORDER)
    free = np.column_stack([rows[:, :1], rows[:, 1:] @ straight])
    rough = rows[:, 1:] @ _rough_part()
    sizes, axes = np.linalg.eigh(rough @ rough.T)
    sizes = np.maximum(sizes, 0.0)
    free, seen = axes.T @ free, axes.T @ target
    spare = float(np.sum(weights > 0)) - free.shape[1] + _NOISE_TRUST
    root = 1.0 / np.sqrt(1.0 + sizes / _SMOOTHINGS[:, None])
    white, plain = free * root[:, :, None], seen * root
    across = white.transpose(0, 2, 1)
    normal = across @ white
    left = plain - (white @ np.linalg.solve(normal, across @ plain[:, :, None]))[:, :, 0]
    variances = (_NOISE_TRUST + np.sum(left**2, axis=1)) / spare
    scores = (np.log(root).sum(axis=1) - 0.5 * np.linalg.slogdet(normal)[1]
              - 0.5 * spare * np.log(variances))
    noises = np.sqrt(variances)
    shares = np.exp(scores - scores.max())
    shares[shares < _LEAST_SHARE * shares.max()] = 0.0
    shares /= shares.sum()
    order = [place for place in np.argsort(-shares, kind="stable") if shares[place] > 0.0]
    return [_Smoothing(smoothing=float(_SMOOTHINGS[place]), noise=float(noises[place]),
                       share=float(shares[place])) for place in order]


@lru_cache(maxsize=1)
def _differences() -> FloatArray:
    """Second differences of the slopes, scaled to the curve's third derivative.

    They weigh 4 t (1 - t): where dots begin and where gaps close, slopes change fast.
    """
    middle = (np.arange(_CELLS - _ORDER) + (_ORDER + 1) / 2) / _CELLS
    differences = np.diff(np.eye(_CELLS), _ORDER, axis=0) * _CELLS ** (_ORDER - 0.5)
    return np.asarray(4.0 * (middle * (1.0 - middle))[:, None] * differences)


@lru_cache(maxsize=1)
def _rough_part() -> FloatArray:
    """The slopes that each second difference stands for."""
    return np.asarray(np.linalg.pinv(_differences()))
