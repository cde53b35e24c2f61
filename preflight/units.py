"""Lengths, rulings, mesh counts and shares, read as people write them.

The only place where 25.4 and 72 stand. Every quantity keeps the words it was written in, so
that reports echo the user's own unit.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

MM_PER_INCH = 25.4
POINTS_PER_INCH = 72.0
POINTS_PER_MM = POINTS_PER_INCH / MM_PER_INCH
UM_PER_CM = 10_000.0

_NUMBER_AND_UNIT = re.compile(r"\s*([+-]?[0-9]+(?:[.,][0-9]+)?|[+-]?[.,][0-9]+)\s*(.*?)\s*")

#: µm as keyboards have it; it is shown as µm all the same.
_TYPED_MICRON = re.compile(r"\s*[uμ]m$")

_MM_PER = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "um": 0.001, "µm": 0.001, "μm": 0.001,
           "in": MM_PER_INCH, "inch": MM_PER_INCH, "inches": MM_PER_INCH, '"': MM_PER_INCH,
           "pt": MM_PER_INCH / POINTS_PER_INCH}
_PER_CM = {"/cm": 1.0, "per cm": 1.0, "l/cm": 1.0, "lines/cm": 1.0, "lpcm": 1.0, "threads/cm": 1.0,
           "/in": 10.0 / MM_PER_INCH, "per in": 10.0 / MM_PER_INCH, "lpi": 10.0 / MM_PER_INCH,
           "lines/in": 10.0 / MM_PER_INCH, "lines/inch": 10.0 / MM_PER_INCH,
           "threads/in": 10.0 / MM_PER_INCH, "/inch": 10.0 / MM_PER_INCH}
_DPI_PER = {"dpi": 1.0, "ppi": 1.0, "px/in": 1.0, "px/cm": MM_PER_INCH / 10.0,
            "px/mm": MM_PER_INCH}


class UnitFault(ValueError):
    """A text is not the quantity that was asked for; the message says what would do."""


@dataclass(frozen=True, slots=True)
class Length:
    """A length in mm, and the words it was written in."""

    mm: float
    written: str


@dataclass(frozen=True, slots=True)
class Ruling:
    """A halftone ruling in lines per cm, and the words it was written in."""

    lpcm: float
    written: str

    @property
    def lpi(self) -> float:
        """Lines per inch: lines/cm × 2.54 (ISO 12647-9:2021, 4.2.3)."""
        return self.lpcm * MM_PER_INCH / 10.0

    @property
    def period_mm(self) -> float:
        """The halftone's period in mm."""
        return 10.0 / self.lpcm


@dataclass(frozen=True, slots=True)
class MeshCount:
    """A mesh count in threads per cm, and the words it was written in."""

    threads_per_cm: float
    written: str


@dataclass(frozen=True, slots=True)
class Resolution:
    """Pixels per inch of a film or a picture, and the words it was written in."""

    dpi: float
    written: str

    @property
    def pixel_mm(self) -> float:
        """The side of one pixel in mm."""
        return MM_PER_INCH / self.dpi


@dataclass(frozen=True, slots=True)
class Share:
    """A share (tone value, sum of tone values, absorption) as a fraction of one."""

    fraction: float
    written: str


@dataclass(frozen=True, slots=True)
class Angle:
    """An angle in degrees anticlockwise from the board's long axis towards its +y side."""

    deg: float
    written: str


@dataclass(frozen=True, slots=True)
class Temperature:
    """A temperature in degrees Celsius, and the words it was written in."""

    celsius: float
    written: str


@dataclass(frozen=True, slots=True)
class TemperatureSwing:
    """A difference of temperatures in degrees Celsius, and the words it was written in."""

    degc: float
    written: str


def length(text: object) -> Length:
    """Read a length such as ``"8 mm"``, ``"158 cm"``, ``"6 in"`` or ``"40 um"``.

    Raises
    ------
    UnitFault
        When the text is no finite length.
    """
    value, written = _scaled(text, _MM_PER, "a length with its unit, such as '8 mm' or '6 in',")
    return Length(value, _TYPED_MICRON.sub(" µm", written))


def ruling(text: object) -> Ruling:
    """Read a halftone ruling such as ``"45 lpi"`` or ``"18 l/cm"``; raises `UnitFault`."""
    value, written = _scaled(text, _PER_CM, "a ruling such as '45 lpi' or '18 l/cm'")
    return Ruling(value, written)


def mesh_count(text: object) -> MeshCount:
    """Read a mesh count such as ``"120/cm"`` or ``"305/in"``; raises `UnitFault`."""
    value, written = _scaled(text, _PER_CM, "a mesh count such as '120/cm' or '305/in'")
    return MeshCount(value, written)


def resolution(text: object) -> Resolution:
    """Read a resolution such as ``"1440 dpi"``; raises `UnitFault`."""
    value, written = _scaled(text, _DPI_PER, "a resolution such as '1440 dpi'")
    return Resolution(value, written)


def share(text: object) -> Share:
    """Read a share such as ``"3 %"`` (0.03); raises `UnitFault`."""
    value, written = _scaled(text, {"%": 0.01, "percent": 0.01}, "a share such as '3 %'")
    return Share(value, written)


def angle(text: object) -> Angle:
    """Read an angle such as ``22.5`` or ``"22.5 deg"``; raises `UnitFault`."""
    asked = "an angle in degrees such as 22.5"
    if isinstance(text, int | float) and not isinstance(text, bool):
        if not math.isfinite(text):
            raise UnitFault(asked)
        return Angle(float(text), f"{text:g}°")
    value, written = _scaled(text, {"deg": 1.0, "°": 1.0, "degrees": 1.0}, asked)
    return Angle(value, written)


def temperature(text: object) -> Temperature:
    """Read a temperature such as ``"85 °C"`` or ``"185 °F"``; raises `UnitFault`."""
    asked = "a temperature such as '85 °C'"
    number, unit, written = _number_and_unit(text, asked)
    if unit.casefold() in {"°c", "c", "degc", "celsius"}:
        return Temperature(number, written)
    if unit.casefold() in {"°f", "f", "degf", "fahrenheit"}:
        return Temperature((number - 32.0) / 1.8, written)
    raise UnitFault(asked)


def temperature_swing(text: object) -> TemperatureSwing:
    """Read a difference of temperature such as ``"3 °C"``, ``"5 °F"`` or ``"3 K"``.

    Raises
    ------
    UnitFault
        When the text is none.
    """
    value, written = _scaled(
        text, {"°c": 1.0, "c": 1.0, "degc": 1.0, "k": 1.0, "°f": 1 / 1.8, "f": 1 / 1.8},
        "a difference of temperature such as '3 °C'")
    return TemperatureSwing(value, written)


def _scaled(text: object, factors: dict[str, float], asked: str) -> tuple[float, str]:
    number, unit, written = _number_and_unit(text, asked)
    factor = factors.get(unit) or factors.get(unit.casefold())
    if factor is None:
        raise UnitFault(asked)
    return number * factor, written


def _number_and_unit(text: object, asked: str) -> tuple[float, str, str]:
    if not isinstance(text, str) or len(text) > 60:
        raise UnitFault(asked)
    match = _NUMBER_AND_UNIT.fullmatch(text)
    if match is None:
        raise UnitFault(asked)
    number = float(match[1].replace(",", "."))
    return number, " ".join(match[2].split()), " ".join(text.split())
