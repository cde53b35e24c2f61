"""The kinds of value that say what becomes of a photograph's colours."""

from __future__ import annotations

from dataclasses import dataclass
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


@dataclass(frozen=True, slots=True, kw_only=True)
class CutOff:
    """What is cut off one side of a photograph.

    Attributes
    ----------
    amount : float
        A share (0 to 1) of the picture's width or height, or pixels.
    in_pixels : bool
        Which of the two.
    """

    amount: float = 0.0
    in_pixels: bool = False

    def pixels_of(self, side_px: int) -> int:
        """Whole pixels of a side of so many."""
        return round(self.amount if self.in_pixels else self.amount * side_px)


@dataclass(frozen=True, slots=True, kw_only=True)
class Crop:
    """What is cut off a photograph, as it is seen upright, before it is turned or mirrored."""

    left: CutOff = CutOff()
    right: CutOff = CutOff()
    top: CutOff = CutOff()
    bottom: CutOff = CutOff()

    def kept_px(self, width_px: int, height_px: int) -> tuple[int, int, int, int]:
        """Left, top, right and bottom pixel of what is kept; the last two exclusive."""
        return (self.left.pixels_of(width_px), self.top.pixels_of(height_px),
                width_px - self.right.pixels_of(width_px),
                height_px - self.bottom.pixels_of(height_px))


#: No picture that is read has a longer side (pixels).
_LONGEST_SIDE_PX = 600_000_000


def _cut_off(value: object) -> CutOff:
    """A share such as ``12 %`` or whole pixels such as ``240 px``."""
    written = " ".join(value.split()) if isinstance(value, str) else ""
    if written.endswith("px"):
        told = written.removesuffix("px").strip()
        if not told.isascii() or not told.isdigit() or len(told) > 9:
            raise units.UnitFault
        return CutOff(amount=float(min(int(told), _LONGEST_SIDE_PX)), in_pixels=True)
    share = units.share(value).fraction
    if not 0.0 <= share < 1.0:
        raise units.UnitFault
    return CutOff(amount=share)


def _crop(value: object) -> Crop:
    asked = ("what is cut off the sides of the upright photo, in percent or pixels, such as "
             "{ top = \"12 %\", left = \"240 px\" },")
    if not isinstance(value, dict) or not value or not value.keys() <= set(Crop.__slots__):
        raise v.ValueFault(asked)
    try:
        return Crop(**{side: _cut_off(cut) for side, cut in value.items()})
    except units.UnitFault:
        raise v.ValueFault(asked) from None


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


PhotoCrop = Annotated[Crop, PlainValidator(_crop)]
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
