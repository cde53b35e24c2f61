"""Colour difference against the number of inks, drawn as an inline SVG."""

from __future__ import annotations

import math
from xml.etree.ElementTree import Element

from separations.report.svg_elements import element, svg_of, written
from separations.uses.ink_choice.ink_choice_outcome import InkChoice

_WIDTH, _HEIGHT = 720, 320
_LEFT, _RIGHT, _TOP, _BOTTOM = 56, 24, 24, 46
_STEPS = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0)


def error_curve_svg(choice: InkChoice) -> str:
    """The curve: mean and worst tenth of each set, the advised number marked.

    Zero is on the axis, so that heights may be compared.
    """
    means = [one.score.mean_de00 for one in choice.sets]
    tails = [one.score.tail_de00 for one in choice.sets]
    step = next((s for s in _STEPS if max(tails) / s <= 6), _STEPS[-1])
    top = step * max(1, math.ceil(max(tails) / step))

    def across(count: int) -> float:
        last = max(len(means), 2)
        return _LEFT + (_WIDTH - _LEFT - _RIGHT) * (count - 0.5) / last

    def up(value: float) -> float:
        return _HEIGHT - _BOTTOM - (_HEIGHT - _TOP - _BOTTOM) * value / top

    parts = []
    for line in range(round(top / step) + 1):
        y = up(line * step)
        parts += [element("line", class_="grid", x1=_LEFT, x2=_WIDTH - _RIGHT, y1=f"{y:.1f}",
                          y2=f"{y:.1f}"),
                  _words(_LEFT - 8, y + 4, f"{line * step:g}", class_="soft", text_anchor="end")]
    for kind, values in (("tail", tails), ("mean", means)):
        points = " ".join(f"{across(n):.1f},{up(v):.1f}" for n, v in enumerate(values, 1))
        parts.append(element("polyline", class_=kind, points=points))
    for count, mean in enumerate(means, 1):
        x, y = across(count), up(mean)
        parts += [_ring(x, y, 4.5, "at"), _words(x + 9, y - 8, f"{mean:.1f}"),
                  _words(x, _HEIGHT - 26, str(count), text_anchor="middle")]
    parts += [
        _ring(across(choice.advised), up(means[choice.advised - 1]), 9, "chosen"),
        _words(across(1) + 14, up(tails[0]) + 4, "worst tenth of the picture", class_="soft"),
        _words(_WIDTH / 2, _HEIGHT - 7, "number of inks", class_="soft", text_anchor="middle"),
        _words(8, 14, "ΔE00; the line is the mean, the ring the advised number", class_="soft")]
    told = ", ".join(f"{n}: {m:.1f}" for n, m in enumerate(means, 1))
    return written(svg_of(f"0 0 {_WIDTH} {_HEIGHT}", *parts, alone=False, class_="curve",
                           role="img",
                           aria_label=f"Mean colour difference by number of inks: {told}"))


def _ring(x: float, y: float, radius: float, kind: str) -> Element:
    return element("circle", class_=kind, cx=f"{x:.1f}", cy=f"{y:.1f}", r=radius)


def _words(x: float, y: float, words: str, **style: str) -> Element:
    return element("text", words, x=f"{x:.1f}", y=f"{y:.1f}", **style)
