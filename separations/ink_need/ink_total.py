"""All inks of a run together, and the tins that hold them: what the buyer asks."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from separations.ink_need.ink_estimate import InkEstimate, Range

#: What one tin of screen ink holds (g). Common practice, no source.
TIN_G = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class InkTotal:
    """The sum over all inks.

    Attributes
    ----------
    board_ml, board_g : Range
        What one board takes (ml, g).
    run_ml, run_g : Range
        What the run takes, with loss and what stays in the screens (ml, g).
    left_ml : Range
        What stays in the screens and on the tools, within ``run_ml`` (ml).
    tins : int
        Tins of `TIN_G` for all inks, each ink in its own.
    """

    board_ml: Range
    board_g: Range
    run_ml: Range
    run_g: Range
    left_ml: Range
    tins: int


def ink_total(estimates: Sequence[InkEstimate]) -> InkTotal:
    """Add the inks up; the range is that of all inks being low, or high, at once."""
    return InkTotal(
        board_ml=_sum(e.board_ml for e in estimates), board_g=_sum(e.board_g for e in estimates),
        run_ml=_sum(e.run_ml for e in estimates), run_g=_sum(e.run_g for e in estimates),
        left_ml=_sum(e.left_ml for e in estimates), tins=sum(map(tins_for, estimates)))


def tins_for(estimate: InkEstimate) -> int:
    """Tins of `TIN_G` that hold an ink's run even if it takes the high figure."""
    return max(1, math.ceil(estimate.run_g.high / TIN_G))


def _sum(spans: Iterable[Range]) -> Range:
    all_spans = list(spans)
    return Range(low=sum(s.low for s in all_spans), likely=sum(s.likely for s in all_spans),
                 high=sum(s.high for s in all_spans))
