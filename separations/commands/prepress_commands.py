"""``topsheet check``, ``proof``, ``films``, ``ink`` and ``run``."""

from __future__ import annotations

from pathlib import Path

import click

from separations.commands.lights_told import tell_lights
from separations.commands.mending import tell_mended
from separations.commands.progress_bar import film_progress
from separations.commands.terminal import (
    DESPITE,
    JOB,
    beside,
    inert,
    out_option,
    say,
    tell_cautions,
    tell_despite,
    tell_findings,
    tell_ink,
    tell_orders,
)


@click.command()
@JOB
@click.option("--mend", is_flag=True,
              help="Write a new job file with what can safely be mended by machine.")
@click.option("--out", type=click.Path(path_type=Path), default=None, metavar="NEW.toml",
              help="The new job file (default: the job's name and -mended, beside it).")
def check(job: Path, mend: bool, out: Path | None) -> None:
    """Say what would go wrong with JOB.

    Nothing is written; with --mend, a new job file is.
    """
    if mend:
        tell_mended(job, out)
        return
    if out is not None:
        raise click.UsageError("--out goes with --mend; a check alone writes nothing.")
    from separations.pipeline.calls import check_job

    outcome = check_job(job)
    tell_findings(outcome.findings, outcome.remarks)


@click.command()
@JOB
@out_option("-proof")
@click.option("--light", "lights", multiple=True, metavar="LIGHT",
              help="Also draw it under this light: D65, A, or a daylight such as '12000 K' (an "
                   "overcast over snow); wood and inks need spectra. May be given several times.")
def proof(job: Path, out: Path | None, lights: tuple[str, ...]) -> None:
    """Draw JOB as it will look on its board.

    Say what would go wrong, too.
    """
    from separations.colour.lights import light_named
    from separations.pipeline.calls import make_proof

    target = out or beside(job, "-proof")
    asked = {light.name: light for light in map(light_named, lights)}
    outcome = make_proof(job, target, lights=tuple(asked.values()), say=say)
    click.echo(inert(f"Wrote {target}"))
    tell_lights(outcome.light_changes)
    tell_findings(outcome.findings, outcome.remarks)


@click.command()
@JOB
@out_option("-films")
@DESPITE
def films(job: Path, out: Path | None, despite_stops: bool) -> None:
    """Check JOB and make its film PDFs."""
    from separations.pipeline.calls import make_films

    target = out or beside(job, "-films")
    with film_progress() as progress:
        outcome = make_films(job, target, despite_stops=despite_stops, say=say,
                             progress=progress)
    click.echo(inert(f"Wrote {target}") if outcome.films else "No films: a finding says stop.")
    if outcome.films:
        tell_despite(outcome.findings)
        tell_cautions()
    tell_findings(outcome.findings)


@click.command()
@JOB
@out_option("-ink")
def ink(job: Path, out: Path | None) -> None:
    """Estimate JOB's ink for one board and for the run."""
    from separations.pipeline.calls import estimate_job_ink

    target = out or beside(job, "-ink")
    outcome = estimate_job_ink(job, target, say=say)
    click.echo(inert(f"Wrote {target}"))
    tell_ink(outcome.estimates)
    tell_orders(outcome.orders)
