"""The ink estimate as a table that a spreadsheet opens."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from separations.ink_need.ink_estimate import InkEstimate, Range
from separations.ink_need.ink_orders import InkOrder

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
    return math.ceil(estimate.run_g.high / TIN_G)


def _sum(spans: Iterable[Range]) -> Range:
    all_spans = list(spans)
    return Range(low=sum(s.low for s in all_spans), likely=sum(s.likely for s in all_spans),
                 high=sum(s.high for s in all_spans))


_HEAD = ("print_order", "ink", "inked_area_cm2", "mean_tone_percent",
         "theoretical_ink_volume_cm3_per_m2", "density_g_per_ml")
#: What a spreadsheet's formula begins with, in either width of letter.
_FORMULAS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
_SPANS = ("low", "likely", "high")
_STOCK_HEAD = ("stock_ink", "on_shelf_g", "to_order_g", "past_use_by")


def ink_csv(estimates: Sequence[InkEstimate], orders: Sequence[int], boards: int, *,
            printed: str = "board", stock: Sequence[InkOrder] = ()) -> str:
    """Write the estimates as CSV (RFC 4180), one row an ink and one for their sum.

    Parameters
    ----------
    estimates : sequence of InkEstimate
        In print order.
    orders : sequence of int
        Print order number of each.
    boards : int
        Boards in the run, told in each row.
    printed : str
        What is printed so many times, where it is no board.
    stock : sequence of InkOrder
        What must be ordered; with these the table has four more columns.

    Notes
    -----
    A name that a spreadsheet would take for a formula is led by an apostrophe.
    """
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    by_ink = {one.ink: one for one in stock}
    writer.writerow([*_HEAD,
                     *(f"one_{printed}_{unit}_{s}" for unit in ("ml", "g") for s in _SPANS),
                     f"{printed}s",
                     *(f"left_in_screen_ml_{s}" for s in _SPANS),
                     *(f"run_{unit}_{s}" for unit in ("ml", "g") for s in _SPANS),
                     f"tins_of_{TIN_G:.0f}_g", *(_STOCK_HEAD if stock else ())])
    for order, e in zip(orders, estimates, strict=True):
        writer.writerow([
            order, inert(e.ink), f"{e.inked_cm2:.1f}", f"{e.mean_tone * 100:.2f}",
            f"{e.ink_volume_um:.2f}", f"{e.density_g_per_ml:.3f}",
            *_three(e.board_ml), *_three(e.board_g), boards, *_three(e.left_ml),
            *_three(e.run_ml), *_three(e.run_g), tins_for(e),
            *(_stock(by_ink.get(e.ink)) if stock else ())])
    if estimates:
        total = ink_total(estimates)
        writer.writerow(["", "all inks", "", "", "", "", *_three(total.board_ml),
                         *_three(total.board_g), boards, *_three(total.left_ml),
                         *_three(total.run_ml), *_three(total.run_g), total.tins,
                         *(["", "", _grams(_all_ordered(stock)), ""] if stock else ())])
    return stream.getvalue()


def _stock(order: InkOrder | None) -> list[str]:
    if order is None:  # an ink that prints nothing
        return ["", "", "", ""]
    return [inert(order.stock_ink or "not on the list"), _grams(order.on_shelf_g),
            _grams(order.order_g),
            "" if order.past_use_by is None else order.past_use_by.isoformat()]


def _all_ordered(orders: Sequence[InkOrder]) -> float | None:
    """What all inks together take beyond the shelf (g); None where that is not known of one."""
    grams = [order.order_g for order in orders]
    return None if None in grams else sum(filter(None, grams))


def _grams(value: float | None) -> str:
    return "" if value is None else f"{value:.2f}"


def inert(text: str) -> str:
    """The text, made harmless for a spreadsheet."""
    return f"'{text}" if text.startswith(_FORMULAS) else text


def _three(span: Range) -> list[str]:
    return [f"{value:.2f}" for value in (span.low, span.likely, span.high)]
