"""Many jobs on the terminal: each as it ends with its findings, one bar over all, the sum."""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

import click

from preflight.nouns import counted
from separations.commands.run_options import RunOptions
from separations.commands.season_bar import SeasonBar
from separations.commands.terminal import inert, say, tell_cautions
from separations.runtime.memory_watch import MemoryWatch
from separations.stock.shelf import stock_left
from separations.uses.season.cluster_run import make_season_on_cluster
from separations.uses.season.job_list import listed_jobs
from separations.uses.season.job_result import JobResult, status_of_all
from separations.uses.season.overview_files import (
    PAGE,
    keep_clear_of_jobs,
    overview_folder,
    write_overview,
)
from separations.uses.season.season_run import SeasonOptions, make_season


def run_season(context: click.Context, given: tuple[Path, ...], options: RunOptions) -> None:
    """Make many jobs, tell of them, and leave with the status over all.

    Parameters
    ----------
    context : click.Context
        Knows the bound that ``--memory`` set.
    given : tuple of Path
        Job files, folders and lists.
    options : RunOptions
        The command's options.
    """
    jobs = listed_jobs(given, options.out)
    overview = options.overview or overview_folder(given, options.out)
    keep_clear_of_jobs(overview, jobs)
    stock = stock_left(options.stock) if options.stock else None
    watch = context.find_object(MemoryWatch)
    how = SeasonOptions(
        despite_stops=options.despite_stops, again=options.again, at_once=options.at_once,
        memory_bytes=watch.bound if watch is not None and watch.was_set else None)
    with SeasonBar() as bar:

        def tell(result: JobResult) -> None:
            bar.make_room()
            click.echo(result.as_line() if options.lines else _told(result))
            sys.stdout.flush()

        if options.cluster is not None:
            results = make_season_on_cluster(
                jobs, options.cluster, how, send_files=options.send_files, say=say, tell=tell,
                progress=bar.show)
        else:
            results = make_season(jobs, how, tell=tell, progress=bar.show)
    write_overview(results, overview, stock)
    click.echo(inert(f"{_sum_of(results)} Wrote {overview / PAGE}"), err=options.lines)
    if not options.lines and any(result.films for result in results):
        tell_cautions()
    sys.exit(status_of_all(results))


def _told(result: JobResult) -> str:
    """A job in a line, and a line for each finding that is not a note."""
    if result.state == "not made":
        return inert(f"not made: {result.says}")
    films = "films withheld" if result.films_withheld else counted(result.films, "film")
    if result.films and result.grade == "stop":
        films += " made despite stops"
    took = f", {result.seconds:.1f} s" if result.state == "made" else ""
    notes = sum(finding.grade == "note" for finding in result.findings)
    noted = f", {counted(notes, 'note')}" if notes else ""
    head = f"{result.state}: {result.out} ({films}{took}{noted})"
    return "\n".join([inert(head), *(
        inert(f"  {finding.grade:<5} {finding.check}, {finding.subject}: {finding.says}")
        for finding in result.findings if finding.grade != "note")])


def _sum_of(results: tuple[JobResult, ...]) -> str:
    states = Counter(result.state for result in results)
    withheld = sum(result.films_withheld for result in results)
    parts = [f"{states[state]} {state}" for state in ("made", "as before", "not made")
             if states[state]]
    if withheld:
        parts.append(f"{withheld} without films until stops are mended (--despite-stops makes them "
                     "anyway)")
    return f"{counted(len(results), 'job')}: {', '.join(parts)}."
