"""Lights under which a board may be looked at: daylights of any colour temperature, and lamps."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import ArrayLike, NDArray

from preflight.input_problem import InputProblem
from separations.colour.adaptation import adaptation_matrix
from separations.colour.colorimetry import D50_XYZ, FloatArray, xyz_to_lab
from separations.colour.spectra import d50_weights

#: Daylights have formulas between these colour temperatures (K). Source: CIE 15:2004, 3.1.
_LEAST_K, _MOST_K = 4000.0, 25_000.0
_NAMED_DAYLIGHT = re.compile(r"D([4-9][0-9])", re.IGNORECASE)
_DAYLIGHT = re.compile(r"([0-9]{4,5}) ?K", re.IGNORECASE)
#: Named daylights are of 1.4388 / 1.4380 times the temperature that their name tells, since
#: Planck's second constant was changed after they were named. Source: CIE 15:2004, 3.1.
_SINCE_NAMED = 1.4388 / 1.4380


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Light:
    """A light.

    Attributes
    ----------
    name : str
        Such as ``D65``, ``A`` or ``12000 K``.
    weights : ndarray, shape (43, 3), float64
        X, Y and Z (2 degrees) of a perfect diffuser in each band of 10 nm from 360 nm, Y = 1 in
        all.
    """

    name: str
    weights: FloatArray

    @property
    def white_xyz(self) -> FloatArray:
        """XYZ of the perfect diffuser under it; shape (3,)."""
        return np.asarray(self.weights.sum(axis=0))

    def xyz(self, spectra: ArrayLike) -> FloatArray:
        """XYZ of reflectances (..., 43) under it, Y = 1 for the perfect diffuser."""
        return np.asarray(np.asarray(spectra, np.float64) @ self.weights)

    def lab(self, spectra: ArrayLike) -> FloatArray:
        """CIELAB of reflectances (..., 43), relative to this light's own white."""
        return xyz_to_lab(self.xyz(spectra) / self.white_xyz * D50_XYZ)

    @property
    def to_d50(self) -> FloatArray:
        """XYZ under it to what looks alike under D50, the eye wholly adapted; shape (3, 3).

        Notes
        -----
        Source: CAT16, the chromatic adaptation of CIECAM16 (CIE 248:2022).
        """
        if self.name == "D50":
            return np.diag(D50_XYZ / self.white_xyz)
        return adaptation_matrix(self.white_xyz, D50_XYZ, 1.0)

    @property
    def file_word(self) -> str:
        """Its name as a part of file names."""
        return self.name.replace(" ", "")


def light_named(name: str) -> Light:
    """The light of a name: ``D50``, ``D65`` and the like, ``A``, or a daylight such as ``12000 K``.

    Raises
    ------
    InputProblem
        When it is no such name, or no daylight has that temperature.

    Notes
    -----
    Source: CIE 15:2004; an overcast sky over snow is a daylight of some 12,000 K (from memory,
    unverified).
    """
    told = name.strip()
    named, free = _NAMED_DAYLIGHT.fullmatch(told), _DAYLIGHT.fullmatch(told)
    if told.upper() == "A":
        return Light(name="A", weights=_tables()["A"] / 100.0)
    if named and named[1] == "50":
        return Light(name="D50", weights=d50_weights())
    if named:
        return Light(name=f"D{named[1]}", weights=_daylight(100 * int(named[1]) * _SINCE_NAMED))
    if free and _LEAST_K <= int(free[1]) <= _MOST_K:
        return Light(name=f"{int(free[1])} K", weights=_daylight(float(free[1])))
    raise InputProblem(where="--light", found=f"'{name[:40]}'",
                       would_do=f"D50, D65, A, or a daylight from {_LEAST_K:.0f} to {_MOST_K:.0f} "
                                "K such as '12000 K'")


def _daylight(kelvin: float) -> FloatArray:
    """Weights of the daylight of a colour temperature, Y = 1 in all.

    Notes
    -----
    Source: CIE 15:2004, 3.1: chromaticity, then the two factors to three places.
    """
    t = kelvin
    if t <= 7000.0:
        x = -4.6070e9 / t**3 + 2.9678e6 / t**2 + 0.09911e3 / t + 0.244063
    else:
        x = -2.0064e9 / t**3 + 1.9018e6 / t**2 + 0.24748e3 / t + 0.237040
    y = -3.0 * x**2 + 2.870 * x - 0.275
    shared = 0.0241 + 0.2562 * x - 0.7341 * y
    first = round((-1.3515 - 1.7703 * x + 5.9114 * y) / shared, 3)
    second = round((0.0300 - 31.4424 * x + 30.0717 * y) / shared, 3)
    tables = _tables()
    weights = tables["S0"] + first * tables["S1"] + second * tables["S2"]
    return np.asarray(weights / weights[:, 1].sum())


@cache
def _tables() -> dict[str, NDArray[np.float64]]:
    text = files("separations.colour").joinpath("light_weights.toml").read_text(encoding="utf-8")
    return {name: np.array(rows) for name, rows in tomllib.loads(text).items()}
