"""The overview of many jobs as a folder: the page, its figures, and tables of jobs and of ink."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

from preflight.files.whole_files import whole_folder
from preflight.input_problem import InputProblem
from separations.stock.ink_stock import InkStock
from separations.uses.season.job_list import ListedJob
from separations.uses.season.job_result import JobResult
from separations.uses.season.overview_figures import Overview, overview_of, overview_values
from separations.uses.season.overview_page import overview_html
from separations.uses.season.overview_tables import inks_csv, jobs_csv
from separations.uses.season.small_boards import small_boards

PAGE = "overview.html"
_NAME = "overview"


def overview_folder(given: Sequence[Path], out: Path | None) -> Path:
    """Where the overview goes unless another folder is told.

    In the folder of all outputs, where one is told; else in the first folder that was given, or
    beside the first job or list.
    """
    first = given[0]
    return (out or (first if first.is_dir() else first.parent)) / _NAME


def keep_clear_of_jobs(folder: Path, jobs: Sequence[ListedJob]) -> None:
    """Refuse a folder for the overview in which a job or its output lies.

    Raises
    ------
    InputProblem
        As told.
    """
    place = folder.resolve()
    for one in jobs:
        if place in (one.out.resolve(), *one.job.resolve().parents):
            raise InputProblem(where=str(folder), found=f"the place of {one.job.name} or of its "
                               "output", would_do="another folder for the overview")


def write_overview(results: Sequence[JobResult], folder: Path,
                   stock: InkStock | None = None) -> Overview:
    """Write overview.html, overview.json, jobs.csv and inks.csv into a folder, whole or not at all.

    Parameters
    ----------
    results : sequence of JobResult
        From `separations.uses.season.season_run.make_season`.
    folder : Path
        The overview's own folder.
    stock : InkStock, optional
        What lies on the shelf.

    Raises
    ------
    InputProblem
        When the folder cannot be written.
    """
    overview = overview_of(results, stock)
    with whole_folder(folder) as fresh:
        page = overview_html(overview, small_boards(results), folder)
        (fresh / PAGE).write_text(page, encoding="utf-8", newline="\n")
        (fresh / "overview.json").write_text(
            json.dumps(overview_values(overview), indent=1, ensure_ascii=False) + "\n",
            encoding="utf-8", newline="\n")
        for name, text in (("jobs.csv", jobs_csv(overview)), ("inks.csv", inks_csv(overview))):
            (fresh / name).write_text(text, encoding="utf-8", newline="")
    return overview
