"""The kinds of value that say what becomes of a photograph's colours."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated

from pydantic import PlainValidator

from preflight import units
from preflight.job_file import job_values as v

#: Ways to bring in colours that no ink reaches, and what became of former ones.
RENDERINGS = ("balanced", "keep-colour")
_GONE = {"paper-relative": " (adaptation = 1 takes the wood for white wholly, as this did),",
         "absolute": " (adaptation = 0 is nearest to what this did),",
         "keep-saturation": " (\"keep-colour\" is nearest to what this did),"}


def _photo_curve(value: object) -> tuple[tuple[float, float], ...]:
    asked = ("pairs of tone before and after in percent, both rising, such as "
             "[[25, 18], [75, 84]],")
    if not isinstance(value, list) or len(value) > 64:
        raise v.ValueFault(asked)
    try:
        pairs = tuple((v.number(before) / 100, v.number(after) / 100) for before, after in value)
    except (TypeError, ValueError):
        raise v.ValueFault(asked) from None
    shares = [share for pair in pairs for share in pair]
    if any(not 0 <= share <= 1 for share in shares) or any(
            later[0] <= one[0] or later[1] < one[1] for one, later in pairwise(pairs)):
        raise v.ValueFault(asked)
    return pairs


def _grey_weights(value: object) -> tuple[float, float, float]:
    asked = "weights of red, green and blue, none below 0, such as [0.3, 0.6, 0.1],"
    if not isinstance(value, list) or len(value) != 3:
        raise v.ValueFault(asked)
    try:
        red, green, blue = (v.number(weight) for weight in value)
    except units.UnitFault:
        raise v.ValueFault(asked) from None
    if min(red, green, blue) < 0 or not 0 < red + green + blue < 1e6:
        raise v.ValueFault(asked)
    return red, green, blue


def _rendering(value: object) -> str:
    if value not in RENDERINGS:
        raise v.ValueFault(" or ".join(f'"{name}"' for name in RENDERINGS)
                         + _GONE.get(str(value), ""))
    return str(value)


PhotoCurve = Annotated[tuple[tuple[float, float], ...], PlainValidator(_photo_curve)]
GreyWeights = Annotated[tuple[float, float, float], PlainValidator(_grey_weights)]
RenderingValue = Annotated[str, PlainValidator(_rendering)]
Stops = Annotated[float, v.bounded(
    v.number, lambda q: q, -5, 5, "stops such as 0.5, from -5 to 5,")]
Contrast = Annotated[float, v.bounded(
    v.number, lambda q: q, -1, 1, "a number from -1 (flattest) to 1 (steepest)")]
Saturation = Annotated[float, v.bounded(
    v.number, lambda q: q, 0, 2, "a factor of the colours such as 1.2, from 0 to 2,")]
Strength = Annotated[units.Share, v.bounded(
    units.share, lambda q: q.fraction, 0.05, 1.0, "a share such as '70 %', from 5 to 100 %,")]
