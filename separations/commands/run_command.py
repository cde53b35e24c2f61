"""``topsheet run``: all of it, for one job or for many."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from separations.commands.progress_bar import film_progress
from separations.commands.run_options import RunOptions
from separations.commands.terminal import (
    DESPITE,
    OUTSIDE,
    beside,
    inert,
    say,
    tell_cautions,
    tell_despite,
    tell_findings,
    tell_orders,
)


@click.command()
@click.argument("jobs", metavar="JOB...", nargs=-1, required=True,
                type=click.Path(path_type=Path))
@OUTSIDE
@click.option("--out", type=click.Path(path_type=Path), default=None, metavar="FOLDER",
              help="Where to write (default: the job's name and -out, beside it); of several "
                   "jobs, the folder that all their outputs go to.")
@DESPITE
@click.option("--again", is_flag=True,
              help="Of several jobs, make even those whose outputs are up to date.")
@click.option("--at-once", type=click.IntRange(1, 1024), default=None, metavar="NUMBER",
              help="Most jobs at a time (default: as many as there are processors, or workers "
                   "of the cluster; memory may allow fewer).")
@click.option("--overview", type=click.Path(path_type=Path), default=None, metavar="FOLDER",
              help="Of several jobs, where the page on all of them goes (default: overview, with "
                   "the outputs or beside the first job).")
@click.option("--stock", type=click.Path(path_type=Path), default=None, metavar="FILE",
              help="A stock list in TOML, to hold the ink of all jobs against.")
@click.option("--cluster", default=None, metavar="ADDRESS",
              help="Make the jobs on the workers of this Dask scheduler.")
@click.option("--send-files", is_flag=True,
              help="With --cluster: send files even to workers that see the jobs' folders.")
@click.option("--json", "lines", is_flag=True, help="Print each job as a line of JSON.")
@click.pass_context
def run(context: click.Context, /, jobs: tuple[Path, ...], **told: Any) -> None:
    """Make everything for JOB, or for several jobs.

    That is films, proof, report, ink and the operator's sheet. Several jobs, a folder of them, or
    a list (.txt, a job file a line) are made side by side; those that have not changed since they
    were made are left as they are.
    """
    from separations.uses.season.job_list import is_one_job

    options = RunOptions(**told)
    if is_one_job(jobs) and not options.are_for_many:
        _run_one(jobs[0], options.out, despite_stops=options.despite_stops)
        return
    from separations.commands.season_told import run_season

    run_season(context, jobs, options)


def _run_one(job: Path, out: Path | None, *, despite_stops: bool) -> None:
    from preflight.files.file_contents import FileContents
    from preflight.job_file.job_reader import read_job
    from separations.pipeline.early_decoding import decode_early
    from separations.pipeline.kept_photos import keep_for_one_look

    told, keep, contents = read_job(job), keep_for_one_look(), FileContents()
    decode_early(told, keep, contents)  # while the rest of the libraries load
    from separations.pipeline.calls import fine_session, run_job

    target = out or beside(job, "-out")
    with film_progress() as progress:
        outcome = run_job(told, target, despite_stops=despite_stops, say=say, progress=progress,
                          session=fine_session(told, keep, contents))
    click.echo(inert(f"Wrote {target}, but no films: they are withheld until the stops are mended "
               "(--despite-stops makes them anyway)." if outcome.withheld
               else f"Wrote {target}"))
    if not outcome.withheld:
        tell_despite(outcome.findings)
        tell_orders(outcome.orders)
        tell_cautions()
    tell_findings(outcome.findings)
