"""What the spectrum of a photograph looks like once it was enlarged, blurred or sharpened."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Finish = Literal["none", "soft", "sharpened"]

_REACH = np.arange(-4.0, 4.0, 1 / 64)
_GRID = np.arange(0.0, 9.0, 0.01)
#: A sharpening common after enlarging: strength 1, radius (sigma) 1.2 pixels. Own rule, no source.
_SHARPEN_SIGMA_PX = 1.2
#: Detail that was soft before it was enlarged falls to half contrast here (of its Nyquist limit).
_SOFT_LIMIT = 0.75
#: A Hann window smears a line over its neighbours: offsets in bins and weights.
_WINDOW_LOBE = ((0.0, 1.0), (0.7, 0.5), (-0.7, 0.5))


def _cubic(x: Floats, a: float) -> Floats:
    x = np.abs(x)
    return np.where(x < 1, (a + 2) * x**3 - (a + 3) * x**2 + 1,
                    np.where(x < 2, a * (x**3 - 5 * x**2 + 8 * x - 4), 0.0))


def _lanczos(x: Floats, lobes: int) -> Floats:
    return np.where(np.abs(x) < lobes, np.sinc(x) * np.sinc(x / lobes), 0.0)


#: Kernels of enlargement, in pixels of the small picture. Source: Keys 1981 (cubic convolution,
#: a = −0.5; −0.75 is also common); Duchon 1979 (Lanczos). From memory, unverified.
KERNELS: dict[str, Callable[[Floats], Floats]] = {
    "linear": lambda x: np.maximum(0.0, 1.0 - np.abs(x)),
    "cubic": lambda x: _cubic(x, -0.5),
    "sharp cubic": lambda x: _cubic(x, -0.75),
    "Lanczos 3": lambda x: _lanczos(x, 3),
    "Lanczos 4": lambda x: _lanczos(x, 4),
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SpectrumModels:
    """Shapes of line spectra, one row each.

    Attributes
    ----------
    log_power : ndarray of float64, shape (models, bins)
        Natural logarithm of the power, up to a constant; bins 2 to m of a window of 2 m pixels.
    kernel : tuple of str
        ``""`` untouched, ``"blur"``, or a name of `KERNELS`.
    edge : ndarray of float64, shape (models,)
        1 / enlargement; for a blur, and for all of them in `limit`, the share (0 to 1) of the
        Nyquist frequency where contrast has fallen to half.
    limit : ndarray of float64, shape (models,)
        See ``edge``.
    slope : ndarray of float64, shape (models,)
        Exponent of the natural fall of power with frequency.
    handicap : ndarray of float64, shape (models,)
        Factor on a misfit: above 1 where the model takes more for granted.
    sharpened : tuple of bool
        Whether the large picture was sharpened.
    slopes : int
        Rows of one model differ in their slope alone, as many in turn.
    """

    log_power: Floats
    kernel: tuple[str, ...]
    edge: Floats
    limit: Floats
    slope: Floats
    handicap: Floats
    sharpened: tuple[bool, ...]
    slopes: int


@lru_cache(maxsize=8)
def spectrum_models(bins: int, *, few: bool = False) -> SpectrumModels:
    """The shapes to hold a measured spectrum against.

    Parameters
    ----------
    bins : int
        Half of the window's pixels, 8 or more.
    few : bool
        A short list, for many small windows.

    Notes
    -----
    A photograph's lines have power falling as frequency^−a, a about 2 (Source: Field 1987,
    J. Opt. Soc. Am. A 4, 2379; from memory), times a pixel's own aperture. Enlarging repeats that
    spectrum about multiples of the small picture's sampling frequency and multiplies it with the
    kernel's transform.
    """
    slopes = np.arange(1.2, 3.3, 0.6) if few else np.arange(1.2, 3.3, 0.4)
    edges = np.geomspace(0.12, 1.0, 30 if few else 44)
    rows: list[Floats] = []
    told: list[tuple[str, float, float, float, bool]] = []

    folds = _Folds(slopes, bins)

    def add(kernel: str, edge: float, limit: float, handicap: float, finish: Finish) -> None:
        power = sum(weight * _power(kernel, edge, finish, folds, offset)
                    for offset, weight in _WINDOW_LOBE)
        rows.append(np.log(power))
        told.append((kernel, edge, limit, handicap, finish == "sharpened"))

    add("", 1.0, 1.0, 0.75, "none")
    for edge in edges[edges < 0.95]:
        add("blur", edge, edge, 1.0, "none")
    for kernel in ("cubic",) if few else tuple(KERNELS):
        loss = half_contrast(kernel, soft=True) / half_contrast(kernel, soft=False)
        for edge in edges[edges < 0.86]:
            add(kernel, edge, edge, 1.0, "none")
            if not few:
                add(kernel, edge, edge * loss, 1.0, "soft")
                add(kernel, edge, edge, 1.1, "sharpened")
    kernels, edge_of, limit_of, handicaps, sharpened = zip(*told, strict=True)
    return SpectrumModels(
        log_power=np.concatenate(rows),
        kernel=tuple(name for name in kernels for _ in slopes),
        edge=np.repeat(edge_of, len(slopes)), limit=np.repeat(limit_of, len(slopes)),
        slope=np.tile(slopes, len(told)), handicap=np.repeat(handicaps, len(slopes)),
        sharpened=tuple(done for done in sharpened for _ in slopes), slopes=len(slopes))


def half_contrast(kernel: str, *, soft: bool) -> float:
    """Cycles per small pixel where a kernel's contrast falls to half."""
    cycles = np.arange(0.01, 1.5, 0.005)
    passed = _transform(kernel, cycles)
    if soft:
        passed = passed * np.sqrt(_blur_power(2 * cycles, _SOFT_LIMIT))
    return float(cycles[np.argmax(passed < 0.5)])


class _Folded(NamedTuple):
    """What lies at a spectrum's frequencies, folded or not: the same for every kernel.

    ``cycles`` and ``base``, shape (bins − 1,), are the frequencies in cycles per small pixel and in
    shares of its Nyquist frequency; ``part``, shape (slopes, bins − 1), the power there.
    """

    cycles: Floats
    base: Floats
    part: Floats


class _Folds:
    """Spectra folded about the small picture's sampling frequency, each reckoned once.

    Parameters
    ----------
    slopes : ndarray of float64
        Exponents of the natural fall of power.
    bins : int
        Half of the window's pixels.
    """

    def __init__(self, slopes: Floats, bins: int) -> None:
        self.fall, self.bins = -slopes[:, None], bins
        self._kept: dict[tuple[float, float], tuple[_Folded, _Folded]] = {}
        self._passed: dict[tuple[str, float, float], tuple[Floats, ...]] = {}

    def frequencies(self, offset: float) -> Floats:
        """Bins 2 and up, moved by ``offset`` bins, as shares of the Nyquist frequency."""
        return np.asarray((np.arange(2, self.bins + 1) + offset) / self.bins)

    def of(self, edge: float, offset: float) -> tuple[_Folded, _Folded]:
        """As they are, and from beyond the large picture's own limit."""
        if (edge, offset) not in self._kept:
            u = self.frequencies(offset)
            self._kept[edge, offset] = self._folded(u, edge), self._folded(np.abs(2.0 - u), edge)
        return self._kept[edge, offset]

    def passed(self, kernel: str, edge: float, offset: float) -> tuple[Floats, ...]:
        """Power that a kernel passes of each, shape (bins − 1,)."""
        which = kernel, edge, offset
        if which not in self._passed:
            self._passed[which] = tuple(_transform(kernel, folded.cycles)**2
                                        for folded in self.of(edge, offset))
        return self._passed[which]

    def _folded(self, u: Floats, edge: float) -> _Folded:
        cycles = u / 2 / edge
        base = 2 * np.maximum(np.abs(cycles - np.round(cycles)), 0.175 / self.bins / edge)
        return _Folded(cycles, base, (base * edge)**self.fall * _aperture(base))


def _power(kernel: str, edge: float, finish: Finish, folds: _Folds, offset: float) -> Floats:
    """Power of one model, shape (slopes, bins − 1)."""
    u = folds.frequencies(offset)
    if kernel in ("", "blur"):
        power = u**folds.fall * _aperture(u)
        return np.asarray(power if kernel == "" else power * _blur_power(u, edge))
    power = np.zeros((len(folds.fall), len(u)))
    for folded, passed in zip(folds.of(edge, offset), folds.passed(kernel, edge, offset),
                              strict=True):
        left = (folded.part * _blur_power(folded.base, _SOFT_LIMIT) if finish == "soft"
                else folded.part)
        power += left * passed
    if finish == "sharpened":
        power *= (2.0 - np.exp(-0.5 * (np.pi * u * _SHARPEN_SIGMA_PX)**2))**2
    return power


def _aperture(u: Floats) -> Floats:
    return np.asarray(np.sinc(u / 2)**2)


def _blur_power(u: Floats, limit: float) -> Floats:
    """Power passed by a Gaussian blur whose contrast is half at ``limit``."""
    return np.asarray(np.exp(-2 * np.log(2.0) * (u / limit)**2))


def _transform(kernel: str, cycles: Floats) -> Floats:
    return np.interp(cycles, _GRID, _transform_tables()[kernel])


@lru_cache(maxsize=1)
def _transform_tables() -> dict[str, Floats]:
    waves = np.cos(2 * np.pi * _GRID[:, None] * _REACH)
    taps = {name: kernel(_REACH) for name, kernel in KERNELS.items()}
    return {name: np.asarray(np.abs(waves @ tap) / tap.sum()) for name, tap in taps.items()}
