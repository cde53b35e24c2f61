"""``topsheet keys``: what may stand in a job, a gang sheet or a stock list."""

from __future__ import annotations

import difflib
import textwrap
from typing import TYPE_CHECKING

import click

from preflight.input_problem import InputProblem

if TYPE_CHECKING:
    from separations.uses.key_reference.file_keys import KeyWords, TableWords

_WIDTH = 96


@click.command()
@click.argument("name", required=False)
@click.option("--of", "file", type=click.Choice(["job", "gang", "stock"]), default="job",
              show_default=True, help="The kind of file.")
@click.option("--schema", is_flag=True, help="Print the file's JSON Schema, for an editor.")
def keys(name: str | None, file: str, schema: bool) -> None:
    """List the keys of a job file.

    All of them, or those that NAME names: a table's, or one key. Each comes with what it takes,
    its default, and what that default rests on.
    """
    from separations.uses.key_reference.file_keys import FileKind, file_says, tables_of
    from separations.uses.key_reference.file_schema import schema_text

    kind = FileKind(file)
    if schema:
        click.echo(schema_text(kind), nl=False)
        return
    tables = tables_of(kind)
    if name is None:
        click.echo("\n".join(textwrap.wrap(file_says(kind), _WIDTH)))
    for table in tables if name is None else _named(name, tables, file):
        head = table.head or "At the top, before any table"
        click.echo(f"\n{head}{'' if not table.head else _need(table)}")
        for key in table.keys:
            _tell(key)


def _need(table: TableWords) -> str:
    if not table.is_required:
        return ""
    return "  (at least one)" if table.head.startswith("[[") else "  (required)"


def _named(name: str, tables: tuple[TableWords, ...], file: str) -> list[TableWords]:
    """The table of that name, and the keys of that name in all tables."""
    from dataclasses import replace

    wanted = name.strip("[]").casefold()
    table_name, _, key_name = wanted.rpartition(".")
    found = [table for table in tables if table.name == wanted]
    found += [replace(table, keys=chosen) for table in tables if table.name != wanted
              and table_name in ("", table.name)
              and (chosen := tuple(key for key in table.keys if key.name == key_name))]
    if found:
        return found
    known = sorted({table.name for table in tables} | {k.name for t in tables for k in t.keys})
    near = difflib.get_close_matches(wanted, known, n=1)
    raise InputProblem(
        where="NAME", found=f"'{name}'", would_do=f"'{near[0]}'" if near else
        f"a table or key of a {file} file (topsheet keys --of {file} lists them)")


def _tell(key: KeyWords) -> None:
    default = f"[{key.default}]" if key.default else "required"
    rests = f" Basis of the default: {key.rests}." if key.rests and key.default else ""
    takes = f" Takes {key.takes}." if key.takes else ""
    click.echo(f"  {key.name}  {default}")
    click.echo(textwrap.fill(f"{key.says}{takes}{rests}", _WIDTH, initial_indent="      ",
                             subsequent_indent="      "))
