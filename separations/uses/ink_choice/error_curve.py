"""Colour difference against the number of inks, drawn as an inline SVG."""

from __future__ import annotations

import math

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
        parts.append(f'<line class="grid" x1="{_LEFT}" x2="{_WIDTH - _RIGHT}" y1="{y:.1f}" '
                     f'y2="{y:.1f}"/><text class="soft" text-anchor="end" x="{_LEFT - 8}" '
                     f'y="{y + 4:.1f}">{line * step:g}</text>')
    for kind, values in (("tail", tails), ("mean", means)):
        points = " ".join(f"{across(n):.1f},{up(v):.1f}" for n, v in enumerate(values, 1))
        parts.append(f'<polyline class="{kind}" points="{points}"/>')
    for count, mean in enumerate(means, 1):
        x, y = across(count), up(mean)
        parts.append(f'<circle class="at" cx="{x:.1f}" cy="{y:.1f}" r="4.5"/>'
                     f'<text x="{x + 9:.1f}" y="{y - 8:.1f}">{mean:.1f}</text>'
                     f'<text text-anchor="middle" x="{x:.1f}" y="{_HEIGHT - 26}">{count}</text>')
    x, y = across(choice.advised), up(means[choice.advised - 1])
    parts.append(f'<circle class="chosen" cx="{x:.1f}" cy="{y:.1f}" r="9"/>')
    parts.append(f'<text class="soft" x="{across(1) + 14:.1f}" y="{up(tails[0]) + 4:.1f}">'
                 "worst tenth of the picture</text>")
    parts.append(f'<text class="soft" text-anchor="middle" x="{_WIDTH / 2}" y="{_HEIGHT - 7}">'
                 "number of inks</text>"
                 '<text class="soft" x="8" y="14">ΔE00; the line is the mean, the ring the '
                 "advised number</text>")
    told = ", ".join(f"{n}: {m:.1f}" for n, m in enumerate(means, 1))
    return (f'<svg class="curve" viewBox="0 0 {_WIDTH} {_HEIGHT}" role="img" aria-label="Mean '
            f'colour difference by number of inks: {told}">{"".join(parts)}</svg>')
