"""``topsheet day``: the order of a press day."""

from __future__ import annotations

from pathlib import Path

import click

from preflight.nouns import counted
from separations.commands.terminal import (
    JOBS,
    beside,
    inert,
    out_option,
    say,
    tell_cautions,
)


@click.command()
@JOBS
@out_option("-day")
def day(jobs: tuple[Path, ...], out: Path | None) -> None:
    """Plan the press day of one job, or of both sides of a board.

    The page tells the order of hits, the screens, the ink and the drying; its figures are written
    beside it.
    """
    from separations.uses.press_day.day_plan import InkOfDay
    from separations.uses.press_day.day_run import write_day

    target = out or beside(jobs[0], "-day")
    plan = write_day(jobs, target, say=say)
    for number, step in enumerate(plan.steps, 1):
        grams = f", {step.run_g.likely:.0f} g of ink" if step.run_g is not None else ""
        wait = (f"; wait {step.after.told} until {step.waits_to}"
                if step.after is not None and step.after.most_min > 0 else "")
        side = f" ({step.side} side)" if step.hit and len(plan.sides) > 1 else ""
        click.echo(inert(f"{number:>2}  {step.told}{side}{grams}{wait}"))
    for one in (*plan.inks, InkOfDay(ink="All inks", hits=len(plan.hits), run_g=plan.ink_g)):
        click.echo(inert(f"ink   {one.ink}, {counted(one.hits, 'hit')}: {one.run_g.likely:.0f} g "
                         f"({one.run_g.low:.0f} to {one.run_g.high:.0f})"))
    for note in plan.notes:
        click.echo(inert(f"note  {note}"))
    click.echo(inert(f"{counted(len(plan.hits), 'hit')}. Wrote {target}"))
    tell_cautions()
