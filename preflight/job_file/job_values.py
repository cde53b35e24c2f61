"""The kinds of value a job file may hold, each with its range and what would do instead."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Annotated, Any, Literal, TypeVar

from pydantic import PlainValidator

from preflight import units
from preflight.press.dot_shapes import shape_names
from preflight.press.stencil_exposure import STEPS

T = TypeVar("T")

#: What a job may ask for besides its film PDFs: films in further formats, and what is not screened.
FURTHER_OUTPUTS = ("tiff", "png", "grey", "composite")
#: Marks of a film that a job may leave out; targets, ticks, rules, wedge and label stay.
PRESS_MARKS = ("turn", "density", "resolution", "exposure", "vernier", "overprints", "thinned",
               "nose label")


class ValueFault(ValueError):
    """A value is of the wrong kind or out of range; the message says what would do."""


def bounded(
    read: Callable[[object], T], figure: Callable[[T], float], least: float, most: float, asked: str
) -> PlainValidator:
    """What reads a quantity and holds its figure against a range."""
    def validate(value: object) -> T:
        try:
            quantity = read(value)
        except units.UnitFault:
            raise ValueFault(asked) from None
        if not least <= figure(quantity) <= most:
            raise ValueFault(asked)
        return quantity

    return PlainValidator(validate)


def _length(least_mm: float, most_mm: float, asked: str) -> Any:
    return bounded(units.length, lambda q: q.mm, least_mm, most_mm, asked)


def _share(least: float, most: float, asked: str) -> Any:
    return bounded(units.share, lambda q: q.fraction, least, most, asked)


def number(value: object) -> float:
    """A finite number."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise units.UnitFault
    return float(value)


def _counted(least: int, most: int, asked: str) -> PlainValidator:
    def validate(value: object) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            raise ValueFault(asked)
        return value

    return PlainValidator(validate)


def _text(value: object) -> str:
    if not isinstance(value, str) or not value.strip() or len(value) > 120 \
            or not value.isprintable():
        raise ValueFault("a text of 1 to 120 printable characters")
    return " ".join(value.split())


def _lab(value: object) -> tuple[float, float, float]:
    asked = "a CIELAB colour (D50, 2°) such as [74, 6, 26], L* 0 to 100, a* and b* -128 to 128,"
    if not isinstance(value, list) or len(value) != 3:
        raise ValueFault(asked)
    try:
        lightness, a, b = (number(v) for v in value)
    except units.UnitFault:
        raise ValueFault(asked) from None
    if not (0 <= lightness <= 100 and abs(a) <= 128 and abs(b) <= 128):
        raise ValueFault(asked)
    return lightness, a, b


def _tone_curve(value: object) -> str | tuple[tuple[float, float], ...]:
    asked = ("\"published\", \"straight\", or pairs of film and printed tone in percent such as "
             "[[20, 22], [50, 58], [80, 92]]")
    if isinstance(value, str) and value in ("published", "straight"):
        return value
    if not isinstance(value, list) or not 1 <= len(value) <= 256:
        raise ValueFault(asked)
    try:
        pairs = tuple((number(film) / 100, number(printed) / 100) for film, printed in value)
    except (TypeError, ValueError):
        raise ValueFault(asked) from None
    return pairs


def _some_of(names: tuple[str, ...]) -> PlainValidator:
    def validate(value: object) -> tuple[str, ...]:
        if not isinstance(value, list) or not all(name in names for name in value) \
                or len(set(value)) != len(value):
            raise ValueFault("a list of some of " + ", ".join(f'"{n}"' for n in names)
                             + ", each once,")
        return tuple(value)

    return PlainValidator(validate)


def _dot_shape(value: object) -> str:
    *others, last = (f"'{name}'" for name in shape_names())
    if not isinstance(value, str) or value not in shape_names():
        raise ValueFault(f"{', '.join(others)} or {last}")
    return value


def _colour_inks(value: object) -> dict[str, str]:
    asked = "colours and the inks that print them, such as { \"#1a1a1a\" = \"Black\" },"
    if not isinstance(value, dict) or not 1 <= len(value) <= 200:
        raise ValueFault(asked)
    inks = {}
    for colour, ink in value.items():
        is_spot = re.fullmatch("[^#].{0,99}", colour) is not None and colour.isprintable()
        if not isinstance(ink, str) or not (is_spot or re.fullmatch("#[0-9a-fA-F]{6}", colour)):
            raise ValueFault(asked)
        inks[colour if is_spot else colour.lower()] = ink
    return inks


def _board_point(value: object) -> tuple[units.Length, units.Length]:
    asked = "two lengths along and across, such as [\"320 mm\", \"-45 mm\"],"
    if not isinstance(value, list) or len(value) != 2:
        raise ValueFault(asked)
    try:
        x, y = (units.length(part) for part in value)
    except units.UnitFault:
        raise ValueFault(asked) from None
    if not (abs(x.mm) <= 3000 and abs(y.mm) <= 3000):
        raise ValueFault(asked)
    return x, y


def _ink_names(value: object) -> tuple[str, ...]:
    if not isinstance(value, list) or len(value) > 12:
        raise ValueFault("a list of the job's ink names")
    return tuple(_text(name) for name in value)


def _yes_or_no(value: object) -> bool:
    if not isinstance(value, bool):
        raise ValueFault("true or false")
    return value


Text = Annotated[str, PlainValidator(_text)]
InkNames = Annotated[tuple[str, ...], PlainValidator(_ink_names)]
AlsoWanted = Annotated[tuple[str, ...], _some_of(FURTHER_OUTPUTS)]
MarksWanted = Annotated[tuple[str, ...], _some_of(PRESS_MARKS)]
DotShapeName = Annotated[str, PlainValidator(_dot_shape)]
YesOrNo = Annotated[bool, PlainValidator(_yes_or_no)]
ColourInks = Annotated[dict[str, str], PlainValidator(_colour_inks)]
BoardPoint = Annotated[tuple[units.Length, units.Length], PlainValidator(_board_point)]
TypeLength = Annotated[
    units.Length, _length(0.3, 200, "a height such as '3 mm' or '9 pt', 0.3 mm to 20 cm,")]
LineLength = Annotated[
    units.Length, _length(0, 20, "a width such as '0.4 mm' or '1 pt', up to 20 mm,")]
Lab = Annotated[tuple[float, float, float], PlainValidator(_lab)]
BoardLength = Annotated[
    units.Length, _length(200, 3000, "a length such as '158 cm', between 20 cm and 3 m,")]
BoardWidth = Annotated[
    units.Length, _length(20, 1000, "a width such as '25.6 cm', between 2 cm and 1 m,")]
BendHeight = Annotated[
    units.Length, _length(-60, 60, "a height such as '6 mm', between -6 cm and 6 cm,")]
Stance = Annotated[
    units.Length, _length(100, 1500, "a stance such as '54 cm', between 10 cm and 1.5 m,")]
SmallLength = Annotated[
    units.Length, _length(0, 200, "a length such as '8 mm', between 0 and 20 cm,")]
OutlineGap = Annotated[
    units.Length, _length(0, 5, "a length such as '0.1 mm', between 0 and 5 mm,")]
Offset = Annotated[
    units.Length, _length(-3000, 3000, "a length such as '-12 mm', between -3 m and 3 m,")]
ArtWidth = Annotated[
    units.Length, _length(1, 6000, "a length such as '160 cm', between 1 mm and 6 m,")]
SheetLength = Annotated[
    units.Length, _length(50, 200_000, "a length such as '61 cm' or '30 m', 5 cm to 200 m,")]
FilmPlace = Annotated[
    units.Length, _length(0, 200_000, "a length such as '120 mm', up to 200 m,")]
PanelOverlap = Annotated[
    units.Length, _length(10, 60, "an overlap such as '15 mm', between 10 and 60 mm,")]
ThreadLength = Annotated[
    units.Length, _length(0.005, 1.0, "a size such as '34 µm', between 5 and 1000 µm,")]
EmulsionHeight = Annotated[
    units.Length, _length(0.0, 1.0, "a height such as '8 µm', up to 1000 µm,")]
DotLength = Annotated[
    units.Length, _length(0.04, 2.0, "a dot size such as '150 µm', between 40 and 2000 µm,")]
RulingValue = Annotated[units.Ruling, bounded(
    units.ruling, lambda q: q.lpcm, 2, 80,
    "a ruling such as '45 lpi' or '18 l/cm', between 2 and 80 lines/cm,")]
MeshCountValue = Annotated[units.MeshCount, bounded(
    units.mesh_count, lambda q: q.threads_per_cm, 5, 220,
    "a mesh count such as '120/cm' or '305/in', between 5 and 220 threads/cm,")]
FilmResolution = Annotated[units.Resolution, bounded(
    units.resolution, lambda q: q.dpi, 100, 5760,
    "a film resolution such as '1440 dpi', between 100 and 5760 dpi,")]
ArtResolution = Annotated[units.Resolution, bounded(
    units.resolution, lambda q: q.dpi, 1, 5000,
    "a resolution such as '200 ppi', between 1 and 5000 ppi,")]
ShareValue = Annotated[units.Share, _share(0, 1, "a share such as '3 %', between 0 and 100 %,")]
#: Half of something, as a default.
HALF = units.Share(0.5, "50 %")
ToneSum = Annotated[units.Share, _share(
    1.0, 8.0, "a sum of tone values such as '260 %', between 100 and 800 %,")]
AngleValue = Annotated[units.Angle, bounded(
    units.angle, lambda q: q.deg, -360, 360, "an angle in degrees such as 22.5, -360 to 360,")]
HeatValue = Annotated[units.Temperature, bounded(
    units.temperature, lambda q: q.celsius, 0, 400,
    "a temperature such as '85 °C', between 0 and 400 °C,")]
TemperatureSwingValue = Annotated[units.TemperatureSwing, bounded(
    units.temperature_swing, lambda q: q.degc, 0, 60,
    "a difference of temperature such as '3 °C', between 0 and 60 °C,")]
InkHeight = Annotated[
    units.Length, _length(0.005, 1.0, "an ink height such as '60 µm', between 5 and 1000 µm,")]
Density = Annotated[float, bounded(
    number, lambda q: q, 0.5, 5, "a density in g/ml such as 1.25, between 0.5 and 5,")]
Grams = Annotated[float, bounded(
    number, lambda q: q, 0, 1e6, "grams such as 850, between 0 and 1,000,000,")]
Fraction = Annotated[float, bounded(
    number, lambda q: q, 0, 1, "a number between 0 and 1")]
FilmFactor = Annotated[float, bounded(
    number, lambda q: q, 0.98, 1.02,
    "a factor of the film against the print such as 1.0004, between 0.98 and 1.02,")]
VolumeMl = Annotated[float, bounded(
    number, lambda q: q, 0, 5000, "a volume in ml such as 150, between 0 and 5000,")]
InkVolume = Annotated[float, bounded(
    number, lambda q: q, 0.5, 300,
    "a theoretical ink volume in cm³/m² such as 16, between 0.5 and 300,")]
CurveValue = Annotated[str | tuple[tuple[float, float], ...], PlainValidator(_tone_curve)]
ScaleStep = Annotated[int, _counted(1, STEPS, f"a whole number, one of the steps 1 to {STEPS}")]
Screens = Annotated[int, _counted(1, 100, "a whole number of screens from 1 to 100")]
Boards = Annotated[int, _counted(1, 100_000, "a whole number of boards from 1 to 100,000")]
PageNumber = Annotated[int, _counted(1, 100_000, "the number of a page, from 1,")]
PageBox = Literal["crop box", "media box", "bleed box", "trim box", "art box"]
HolesInRow = Annotated[int, _counted(2, 12, "a whole number of holes from 2 to 12")]
Seed = Annotated[int, _counted(0, 2**31, "a whole number from 0 to 2147483648")]


#: Own rules, no source: a place lies on or near a board; a ring is drawn, not scanned.
_FARTHEST_MM = 3000.0
_FEWEST_POINTS, _MOST_POINTS = 3, 2000
_MOST_PINS = 8

SpotOnBoard = tuple[units.Length, units.Length]


def spot(value: object) -> SpotOnBoard:
    """A place on the board: x and y as two lengths.

    Raises
    ------
    ValueFault
        When it is no such pair, or lies far from any board.
    """
    asked = "x and y as two lengths such as [\"-12 cm\", \"35 mm\"], each within 3 m,"
    if not isinstance(value, list) or len(value) != 2:
        raise ValueFault(asked)
    try:
        along, across = (units.length(part) for part in value)
    except units.UnitFault:
        raise ValueFault(asked) from None
    if max(abs(along.mm), abs(across.mm)) > _FARTHEST_MM:
        raise ValueFault(asked)
    return along, across


def _ring(value: object) -> tuple[SpotOnBoard, ...]:
    if not isinstance(value, list) or not _FEWEST_POINTS <= len(value) <= _MOST_POINTS:
        raise ValueFault(f"a list of {_FEWEST_POINTS} to {_MOST_POINTS} points such as "
                         "[[\"0 mm\", \"0 mm\"], [\"5 cm\", \"0 mm\"], [\"5 cm\", \"3 cm\"]]")
    return tuple(spot(point) for point in value)


def _pins(value: object) -> tuple[SpotOnBoard, ...]:
    if not isinstance(value, list) or len(value) > _MOST_PINS:
        raise ValueFault(f"a list of up to {_MOST_PINS} points such as "
                         "[[\"86 cm\", \"0 mm\"], [\"-88 cm\", \"0 mm\"]]")
    return tuple(spot(point) for point in value)


Spot = Annotated[SpotOnBoard, PlainValidator(spot)]
Pins = Annotated[tuple[SpotOnBoard, ...], PlainValidator(_pins)]
Ring = Annotated[tuple[SpotOnBoard, ...], PlainValidator(_ring)]
