"""``topsheet outline``: the board as drawings for other hands."""

from __future__ import annotations

from pathlib import Path

import click

from separations.commands.terminal import JOB, beside, inert, out_option


@click.command()
@JOB
@out_option("-outline")
def outline(job: Path, out: Path | None) -> None:
    """Write JOB's board as DXF, SVG and a 1:1 template.

    Its art need not be there.
    """
    from separations.uses.board_drawings.drawing_set import draw_board

    target = out or beside(job, "-outline")
    drawn = draw_board(job, target)
    click.echo(inert(f"Wrote {target}"))
    for line in (*drawn.lines.dimensions, *drawn.remarks):
        click.echo(inert(line))
