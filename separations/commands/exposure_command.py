"""``topsheet exposure``: how long to expose a stencil, found by steps."""

from __future__ import annotations

from pathlib import Path

import click

from preflight.nouns import counted
from separations.commands.terminal import JOB, beside, inert, out_option, say


@click.command()
@JOB
@click.argument("readings", type=click.Path(path_type=Path), required=False)
@click.option("--middle", type=click.FloatRange(1.0, 3600.0), default=None, metavar="SECONDS",
              help="The middle row's time; needed until the job or its press profile gives one.")
@out_option("-exposure")
def exposure(job: Path, readings: Path | None, middle: float | None, out: Path | None) -> None:
    """Make films to expose JOB's stencils by steps.

    With READINGS, work out the times instead. READINGS is the table that was written with the
    films, filled in; the press profile with the times goes into a folder of its own, named after
    JOB with -exposed at its end.
    """
    from separations.report.cautions import DEFER, STENCIL_CAUTIONS
    from separations.report.exposure_words import exposure_told
    from separations.uses.calibration.exposure_run import learn_exposure, make_exposure_films

    if readings is None:
        target = out or beside(job, "-exposure")
        made = make_exposure_films(job, target, middle_s=middle, say=say)
        click.echo(inert(f"Wrote {target}: {counted(len(made), 'film')}, the table to fill in, and "
                         "how to go about it."))
    else:
        target = out or beside(job, "-exposed")
        profile = learn_exposure(job, readings, target)
        click.echo(inert(f"Wrote {target}"))
        for one in profile.exposure:
            click.echo(inert(exposure_told(one)))
    for caution in STENCIL_CAUTIONS:
        click.echo(inert(f"Caution: {caution.hazard}. {caution.keep_in_mind}"))
    click.echo(DEFER)
