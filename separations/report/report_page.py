"""The run as one self-contained page: picture first, then what to mind, then the figures.

The page needs no network and no script: its switches and its zoom are form controls that the style
sheet obeys. The one script, which only adds comfort, is named by its digest in the page's security
policy, so that no other can run in it whatever a job's names hold.
"""

from __future__ import annotations

import base64
import hashlib
from html import escape
from importlib.resources import files

from separations.proof.shown_pictures import BoardViews
from separations.report.outcome import Outcome
from separations.report.page.board_view import board_view, near_views
from separations.report.page.closing_parts import (
    cautions,
    colour,
    further_pictures,
    further_tables,
    remarks,
)
from separations.report.page.film_switches import film_switches, switch_style
from separations.report.page.finding_list import finding_list, in_order
from separations.report.page.heading import header, verdict
from separations.report.page.html_parts import section
from separations.report.page.ink_rows import buyer_table, operator_table
from separations.report.page.shown_figures import ShownFigures
from separations.report.report_figures import figures_of


def report_html(outcome: Outcome, views: BoardViews) -> str:
    """The whole page.

    Parameters
    ----------
    outcome : Outcome
        What was made and measured; its extra pictures and tables are shown as they come.
    views : BoardViews
        The board's pictures.
    """
    shown = ShownFigures(figures_of(outcome, views))
    found = section("findings", "Findings", finding_list(shown))
    whole = "The board" if shown.at("/job/printed") == "board" else "The pieces"
    board = section("board", whole, board_view(shown, views))
    close = section("close", "Close views", near_views(views))
    parts = [
        ("films", "Films on the wood", film_switches(views)),
        ("inks", "Print order", operator_table(shown)),
        ("buy", "Ink for the run", buyer_table(shown)),
        ("colour", "Colour on this wood", colour(shown)),
        ("further", "Further pictures", further_pictures(outcome.extra_pictures)),
        ("in-order", "Checks passed", in_order(shown)),
        ("cautions", "Cautions", cautions(shown)),
        ("granted", "Assumed", remarks(shown)),
    ]
    links = [("board", whole), ("findings", "Findings"),
             *([("close", "Close views")] if close else []),
             *((key, title) for key, title, body in parts if body)]
    body = "\n".join((
        header(shown, links), f'<main id="content">{verdict(shown)}',
        board, found, close,
        *(section(*part) for part in parts[:5]), further_tables(shown),
        *(section(*part) for part in parts[5:]),
        "</main><footer>The films decide; this page explains them. Figures without a published "
        "source say so: common practice, own rule, from memory, invented.</footer>"))
    return _document(f"{shown.text('/job/title')}: films for {shown.text('/board/name')}",
                     _package_text("report_page.css") + _package_text("light_table.css")
                     + switch_style(views), body)


def _document(title: str, style: str, body: str) -> str:
    script = _package_text("light_table.js")
    digest = base64.b64encode(hashlib.sha256(script.encode("utf-8")).digest()).decode("ascii")
    policy = escape("default-src 'none'; img-src data:; style-src 'unsafe-inline'; "
                    f"script-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'")
    return (f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8">\n'
            f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
            f'<meta name="viewport" content="width=device-width, initial-scale=1">\n'
            f'<meta name="color-scheme" content="light dark">\n'
            f"<title>{title}</title>\n<style>\n{style}</style></head>\n"
            f"<body>\n{body}\n<script>{script}</script></body></html>\n")


def _package_text(name: str) -> str:
    return files("separations.report").joinpath(name).read_text(encoding="utf-8")
