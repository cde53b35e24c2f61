"""``topsheet stock``: the ink on the shelf, and its book."""

from __future__ import annotations

import datetime
from pathlib import Path

import click

from preflight.input_problem import InputProblem
from preflight.nouns import counted
from separations.commands.terminal import inert


@click.command()
@click.argument("shelf", type=click.Path(path_type=Path), metavar="STOCK")
@click.option("--book", "table", type=click.Path(path_type=Path), default=None, metavar="FILE",
              help="A table (CSV) to book, with the columns date, ink, kind (delivered, used or "
                   "counted), grams and, if any, note and reckoned (of ink used: the grams that "
                   "the run's sheet had as likely).")
@click.option("--csv", "as_table", is_flag=True, help="Print the whole book as a table (CSV).")
def stock(shelf: Path, table: Path | None, as_table: bool) -> None:
    """Tell what is left of the shop's inks and how long it lasts.

    STOCK is the stock list; its book stands beside it. Entries are added and never changed; a
    table is booked whole or not at all.
    """
    from separations.stock.book_csv import entries_csv, read_entries
    from separations.stock.ink_book import book, read_book
    from separations.stock.ink_stock import read_stock
    from separations.stock.shelf import shelf as shelf_of

    listed = read_stock(shelf)
    if table is not None:
        new = read_entries(table, listed)
        if new and set(new) <= set(read_book(shelf)):
            raise InputProblem(
                where=str(table), found="only entries that the book has already",
                would_do="a table of new entries (like ones told apart by a 'note')")
        entries = book(shelf, listed, new)
        click.echo(f"Booked {counted(len(new), 'entry', 'entries')}.", err=as_table)
    else:
        entries = read_book(shelf)
    if as_table:
        click.echo(entries_csv(entries), nl=False)
        return
    for one in shelf_of(listed, entries):
        click.echo(inert(one.told(datetime.date.today())))
