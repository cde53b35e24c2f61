"""``topsheet gang``: several boards, or both sides of one, on one film for each ink."""

from __future__ import annotations

from pathlib import Path

import click

from separations.commands.terminal import (
    DESPITE,
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
@click.argument("sheet", type=click.Path(path_type=Path))
@out_option("-gang", of="sheet")
@DESPITE
def gang(sheet: Path, out: Path | None, despite_stops: bool) -> None:
    """Lay several jobs on one film for each ink.

    SHEET lists them; their films and a report are made.
    """
    from separations.uses.gang.gang_run import make_gang

    target = out or beside(sheet, "-gang")
    outcome = make_gang(sheet, target, despite_stops=despite_stops, say=say)
    for number, piece in enumerate(outcome.pieces, 1):
        click.echo(inert(f"{number}  {piece.told}"))
    click.echo(inert(f"Wrote {target}, but no films: they are withheld until the stops are mended "
               "(--despite-stops makes them anyway)." if outcome.withheld
               else f"Wrote {target}"))
    if not outcome.withheld:
        tell_despite(outcome.findings)
        click.echo("One pull prints every job's boards." if outcome.pulls == 1 else
                   f"{outcome.pulls} pulls print every job's boards.")
        tell_ink(outcome.estimates, "pull")
        tell_orders(outcome.outcome.orders)
        tell_cautions()
    tell_findings(outcome.findings, outcome.outcome.remarks)
