"""The files of a report: page, figures, operator's sheet and ink, of one job or of a gang."""

from __future__ import annotations

from pathlib import Path

from separations.ink_need.ink_table import ink_csv
from separations.proof.shown_pictures import BoardViews
from separations.report.operator_sheet import operator_pdf
from separations.report.outcome import Outcome
from separations.report.report_figures import report_json
from separations.report.report_page import report_html


def write_reports(folder: Path, outcome: Outcome, views: BoardViews) -> None:
    """Write ink.csv, report.html, report.json and operator.pdf into a folder."""
    write_ink(folder, outcome)
    (folder / "report.html").write_text(report_html(outcome, views), encoding="utf-8",
                                        newline="\n")
    (folder / "report.json").write_text(report_json(outcome, views), encoding="utf-8",
                                        newline="\n")
    (folder / "operator.pdf").write_bytes(operator_pdf(outcome, views.proof.data))


def write_ink(folder: Path, outcome: Outcome) -> None:
    """Write ink.csv into a folder."""
    job = outcome.submission.job
    orders = [number for number, _ in enumerate(job.ink, 1)]
    (folder / "ink.csv").write_text(
        ink_csv(outcome.estimates, orders, job.boards, printed=outcome.printed,
                stock=outcome.orders),
        encoding="utf-8", newline="")
