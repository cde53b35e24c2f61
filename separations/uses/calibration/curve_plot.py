"""Drawings of a fitted wedge as inline SVG: the curve with its band, and what is left over."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from xml.etree.ElementTree import Element

import numpy as np
from numpy.typing import NDArray

from separations.colour.press_profile import NINETY
from separations.report.svg_elements import element, svg_of, written
from separations.uses.calibration.curve_fit import MOST_OFF
from separations.uses.calibration.press_fit import InkFit

_WIDE, _HIGH, _EDGE = 340, 300, 34
_LEFT_HIGH = 118


def curve_svg(ink: InkFit, colour: str, names: Sequence[str], suspects: frozenset[str],
              title: str) -> str:
    """Area under ink by film tone: readings, curve, and a band that holds nine times in ten.

    Parameters
    ----------
    ink : InkFit
        The fitted wedge.
    colour : str
        A CSS colour for the curve.
    names : sequence of str
        Patch of each reading.
    suspects : frozenset of str
        Patches drawn as open crosses.
    title : str
        What a reader who cannot see it should know.
    """
    fine = np.linspace(0.0, 1.0, 121)
    area = ink.curve.area_at(fine)
    band = NINETY * np.interp(fine, ink.curve.film, ink.told_sd)
    upper, lower = np.minimum(area + band, 1.0), np.maximum(area - band, 0.0)
    ends = np.array([0.0, 1.0])
    parts = [*_axes(), element("path", class_="band", d=f"M{_points(fine, upper)} L"
                               f"{_points(fine[::-1], lower[::-1])} Z"),
             element("path", class_="even", d=f"M{_points(ends, ends)}"),
             element("path", class_="curve", style=f"stroke:{colour}",
                     d=f"M{_points(fine, area)}")]
    for tone, reading, name in zip(ink.wedge.tones, ink.curve.areas, names, strict=True):
        x, y = _place(float(tone), float(np.clip(reading, -0.06, 1.06)))
        parts.append(_reading(x, y, f"{name}: film {100 * tone:g} %, read {100 * reading:.1f} %",
                              odd=name in suspects))
    return _svg(_WIDE, _HIGH, title, parts)


def left_over_svg(ink: InkFit, names: Sequence[str], suspects: frozenset[str],
                  title: str) -> str:
    """Reading minus curve by film tone, in multiples of the noise; parameters as `curve_svg`."""
    high, most = _LEFT_HIGH, MOST_OFF + 1.0
    inner = _WIDE - _EDGE - 12

    def level(value: float) -> float:
        return high / 2 - min(max(value, -most), most) / most * (high / 2 - 8)

    parts = []
    for at, kind, told in ((MOST_OFF, "grid", f"+{MOST_OFF:g}"), (0.0, "axis", "0"),
                           (-MOST_OFF, "grid", f"−{MOST_OFF:g}")):
        parts += [element("path", class_=kind, d=f"M{_EDGE} {level(at):.1f} H{_EDGE + inner}"),
                  _label(_EDGE - 5, level(at) + 4, told, "end")]
    for tone, off, name in zip(ink.wedge.tones, ink.curve.off, names, strict=True):
        parts.append(_reading(_EDGE + float(tone) * inner, level(float(off)),
                              f"{name}: {off:+.1f} times the noise", odd=name in suspects))
    return _svg(_WIDE, high, title, parts)


def _svg(wide: int, high: int, title: str, parts: Sequence[Element]) -> str:
    return written(svg_of(f"0 0 {wide} {high}", *parts, alone=False, role="img",
                           aria_label=title))


def _label(x: float, y: float, told: str, anchor: str) -> Element:
    return element("text", told, x=f"{x:.1f}", y=f"{y:.1f}", text_anchor=anchor)


def _place(tone: float, area: float) -> tuple[float, float]:
    return (_EDGE + tone * (_WIDE - _EDGE - 12), _HIGH - 30 - area * (_HIGH - 48))


def _points(tones: NDArray[np.float64], areas: NDArray[np.float64]) -> str:
    places = (_place(float(t), float(a)) for t, a in zip(tones, areas, strict=True))
    return " ".join(f"{x:.1f} {y:.1f}" for x, y in places)


def _axes() -> Iterator[Element]:
    for percent in range(0, 101, 20):
        (x, foot), (left, y) = _place(percent / 100, 0.0), _place(0.0, percent / 100)
        top, right = _place(0.0, 1.0)[1], _place(1.0, 0.0)[0]
        kind = "axis" if percent == 0 else "grid"
        yield element("path", class_=kind, d=f"M{x:.1f} {foot:.1f} V{top:.1f} "
                                             f"M{left:.1f} {y:.1f} H{right:.1f}")
        yield _label(x, foot + 15, str(percent), "middle")
        yield _label(left - 5, y + 4, str(percent), "end")


def _reading(x: float, y: float, told: str, *, odd: bool) -> Element:
    shape = (element("path", class_="odd", d=f"M{x - 4:.1f} {y - 4:.1f} L{x + 4:.1f} {y + 4:.1f} "
                                             f"M{x - 4:.1f} {y + 4:.1f} L{x + 4:.1f} {y - 4:.1f}")
             if odd else element("circle", class_="read", cx=f"{x:.1f}", cy=f"{y:.1f}", r=2.6))
    return element("g", element("title", told), shape)
