"""``topsheet check``, ``proof``, ``films``, ``ink`` and ``run``."""

from __future__ import annotations

from pathlib import Path

import click

from separations.commands.terminal import (
    DESPITE,
    JOB,
    beside,
    inert,
    out_option,
    say,
    tell_findings,
)


@click.command()
@JOB
def check(job: Path) -> None:
    """Say what would go wrong with JOB, and write nothing."""
    from separations.prepress import check_job

    tell_findings(check_job(job).findings)


@click.command()
@JOB
@out_option("-proof")
def proof(job: Path, out: Path | None) -> None:
    """Draw JOB as it will look on its board, and say what would go wrong."""
    from separations.prepress import make_proof

    target = out or beside(job, "-proof")
    outcome = make_proof(job, target, say=say)
    click.echo(inert(f"Wrote {target}"))
    tell_findings(outcome.findings)


@click.command()
@JOB
@out_option("-films")
@DESPITE
def films(job: Path, out: Path | None, despite_stops: bool) -> None:
    """Check JOB and make its film PDFs."""
    from separations.prepress import make_films

    target = out or beside(job, "-films")
    outcome = make_films(job, target, despite_stops=despite_stops, say=say)
    click.echo(inert(f"Wrote {target}") if outcome.films else "No films: a finding says stop.")
    tell_findings(outcome.findings)


@click.command()
@JOB
@out_option("-ink")
def ink(job: Path, out: Path | None) -> None:
    """Estimate JOB's ink for one board and for the run."""
    from separations.prepress import estimate_job_ink

    target = out or beside(job, "-ink")
    outcome = estimate_job_ink(job, target, say=say)
    click.echo(inert(f"Wrote {target}"))
    for estimate in outcome.estimates:
        board, run = estimate.board_g, estimate.run_g
        click.echo(f"{inert(estimate.ink):<20} one board {board.likely:6.1f} g "
                   f"({board.low:.1f} to {board.high:.1f}); run {run.likely:6.0f} g "
                   f"({run.low:.0f} to {run.high:.0f})")


@click.command()
@JOB
@out_option("-out")
@DESPITE
def run(job: Path, out: Path | None, despite_stops: bool) -> None:
    """Do all of it for JOB: films, proof, report, ink and the operator's sheet."""
    from separations.prepress import run_job

    target = out or beside(job, "-out")
    outcome = run_job(job, target, despite_stops=despite_stops, say=say)
    click.echo(inert(f"Wrote {target}"))
    tell_findings(outcome.findings)
