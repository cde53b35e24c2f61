"""Jobs in, the press day's page and figures out."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from preflight.files.whole_files import whole_folder
from preflight.job_file.job_reader import read_job
from separations.films.film_set import count_films
from separations.pipeline.calls import fine_session
from separations.pipeline.job_folder import keep_clear_of_inputs
from separations.pipeline.prepared_job import ready_films
from separations.runtime.progress import Say, silent
from separations.stock.shelf import job_shelf, shared_orders
from separations.uses.press_day.day_figures import day_json
from separations.uses.press_day.day_page import day_pdf
from separations.uses.press_day.day_plan import DayPlan, SideOfDay, plan_day


def write_day(paths: Sequence[Path], out: Path, *, say: Say = silent) -> DayPlan:
    """Plan the press day of one or several jobs; write day.pdf and day.json.

    Parameters
    ----------
    paths : sequence of Path
        Job files: one board or one run, top and base.
    out : Path
        The folder, which appears whole or not at all.
    say : callable
        Told what is being done.

    Raises
    ------
    InputProblem
        When a job cannot be used, the jobs do not go together, or the folder cannot be written.
    """
    jobs = [read_job(path) for path in paths]
    for job in jobs:
        keep_clear_of_inputs(job, out)
        job_shelf(job)  # one that cannot be read is told before any work
    with whole_folder(out) as folder:
        sides = []
        for job in jobs:
            say(f"{job.title}: counting dots")
            films = ready_films(fine_session(job))
            estimates = count_films(films, silent).estimates
            sides.append(SideOfDay(job=job, revision=films.laid.revision, estimates=estimates))
        plan = plan_day(sides, shared_orders([(side.job, side.estimates) for side in sides]))
        (folder / "day.json").write_text(day_json(plan), encoding="utf-8", newline="\n")
        (folder / "day.pdf").write_bytes(day_pdf(plan))
        return plan
