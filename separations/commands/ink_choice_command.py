"""``topsheet inks``: which inks of a stock suit a job."""

from __future__ import annotations

from pathlib import Path

import click

from preflight.nouns import counted
from separations.commands.terminal import JOB, beside, inert, out_option, say


def _list_known(context: click.Context, _option: click.Parameter, wanted: bool) -> None:
    """Tell the known ink colours and leave."""
    if not wanted:
        return
    from separations.colour.ink_colours import known_inks

    click.echo('Name one by colour = "…" in an [[ink]] table. CIELAB (D50, 2°) of the solid on '
               "white card:")
    told = ""
    for name, ink in known_inks().items():
        if str(ink.source) != told:
            told = str(ink.source)
            click.echo(f"\n{told}")
        hides = f"  hides {100 * ink.opacity:.0f} %" if ink.opacity else ""
        click.echo(f"  {name:<16} L* {ink.lab[0]:5.1f}  a* {ink.lab[1]:5.1f}  b* {ink.lab[2]:5.1f}"
                   f"{hides}")
    context.exit()


@click.command()
@JOB
@click.option("--known", is_flag=True, is_eager=True, expose_value=False, callback=_list_known,
              help="List the ink colours that a job or stock list may name, and what each rests "
                   "on; needs no JOB.")
@click.option("--stock", type=click.Path(path_type=Path), required=True, metavar="FILE",
              help="The inks to choose from: a stock list in TOML.")
@click.option("--most", type=click.IntRange(1, 6), default=6, show_default=True,
              metavar="NUMBER",
              help="Most inks to print with.")
@out_option("-inks")
def inks(job: Path, stock: Path, most: int, out: Path | None) -> None:
    """Choose from a stock the inks that suit JOB's photograph.

    They are the ones that print it best on its wood.
    """
    from separations.uses.ink_choice.ink_choice_run import choose_inks

    target = out or beside(job, "-inks")
    choice = choose_inks(job, stock, target, most=most, say=say)
    click.echo(inert(f"Wrote {target}"))
    click.echo("Mean ΔE00 over the photograph, all sets against the same aim; its worst tenth; and "
               "the mean that\na set has in its own report, against what its own white and black "
               "allow:")
    for count, one in enumerate(choice.sets, 1):
        click.echo(inert(f"{counted(count, 'ink'):<6}  mean {one.score.mean_de00:5.2f}"
                         f"  worst tenth {one.score.tail_de00:5.1f}  own report "
                         f"{one.own_de00:5.2f}  {', '.join(ink.name for ink in one.inks)}"))
    click.echo(inert(choice.advice))
    if choice.past_told:
        click.echo(inert(f"note  {choice.past_told}"))
