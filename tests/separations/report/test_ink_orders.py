"""What must be ordered beyond the shelf stands on the page, the sheet and in ink.csv alike."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace

import pypdfium2

from separations.ink_need.ink_table import ink_csv
from separations.report.operator_sheet import operator_pdf
from separations.report.page.ink_rows import buyer_table
from separations.report.page.shown_figures import ShownFigures
from separations.report.report_figures import figures_of
from tests.separations.report.conftest import Written


def test_orders_are_the_high_figure_less_what_is_left(written: Written) -> None:
    orders = {one["ink"].split()[0]: one for one in written.figures["ink_orders"]}
    highs = {one["ink"].split()[0]: one["run_g"]["high"]
             for one in written.figures["ink_estimates"]}
    assert orders["Yellow"]["order_g"] == 0
    assert orders["Yellow"]["past_use_by"] == "2026-11-01"
    assert orders["Cyan"]["stock_ink"] == "Process cyan"
    assert abs(orders["Cyan"]["order_g"] - (highs["Cyan"] - 100)) < 0.01
    assert (orders["Magenta"]["on_shelf_g"], orders["Magenta"]["order_g"]) == (None, None)
    assert orders["Black"]["stock_ink"] is None
    assert abs(orders["Black"]["order_g"] - highs["Black"]) < 0.01


def test_page_and_sheet_say_what_the_terminal_says(written: Written) -> None:
    words = [word for order in written.outcome.orders for word in order.words]
    assert len(words) == 4
    part = " ".join(buyer_table(ShownFigures(figures_of(written.outcome))).split())
    assert "Ink to order" in part
    assert "not on the list" in part
    assert "see how much is left" in part
    with pypdfium2.PdfDocument(written.folder / "operator.pdf") as document:
        sheet = "".join("".join(page.get_textpage().get_text_bounded().split())
                        for page in document)
    for word in words:
        told = word.split(": ", 1)[1]
        assert told in part
        assert re.sub(r"\s", "", told) in sheet


def test_a_shelf_with_enough_says_so_on_the_sheet(written: Written) -> None:
    board = (written.folder / "proof.png").read_bytes()
    enough = tuple(replace(order, stock_ink=order.ink, on_shelf_g=1e6, past_use_by=None)
                   for order in written.outcome.orders)
    for orders, told in ((enough, True), ((), False)):
        with pypdfium2.PdfDocument(operator_pdf(
                replace(written.outcome, orders=orders), board)) as document:
            text = " ".join(" ".join(page.get_textpage().get_text_bounded().split())
                            for page in document)
        assert ("The stock list has enough of every ink." in text) is told
    assert "Ink to order" not in buyer_table(ShownFigures(figures_of(
        replace(written.outcome, orders=()))))


def test_the_table_of_ink_has_the_orders_in_columns_of_their_own(written: Written) -> None:
    rows = list(csv.DictReader(io.StringIO(
        (written.folder / "ink.csv").read_text(encoding="utf-8"))))
    by_ink = {row["ink"].split()[0]: row for row in rows}
    assert (by_ink["Yellow"]["on_shelf_g"], by_ink["Yellow"]["to_order_g"],
            by_ink["Yellow"]["past_use_by"]) == ("9000.00", "0.00", "2026-11-01")
    assert (by_ink["Black"]["stock_ink"], by_ink["Black"]["on_shelf_g"]) == (
        "not on the list", "")
    assert (by_ink["Magenta"]["to_order_g"], by_ink["all"]["to_order_g"]) == ("", "")
    known = [order for order in written.outcome.orders if order.order_g is not None]
    estimates = [one for one in written.outcome.estimates
                 if one.ink in {order.ink for order in known}]
    told = list(csv.DictReader(io.StringIO(
        ink_csv(estimates, range(1, 4), 3, stock=known))))[-1]["to_order_g"]
    assert abs(float(told) - sum(order.order_g or 0 for order in known)) < 0.01
    assert "stock_ink" not in ink_csv(estimates, range(1, 4), 3)
