"""The book as a table of a spreadsheet, in and out."""

from __future__ import annotations

import csv
import datetime
import io
from collections.abc import Sequence
from pathlib import Path

from preflight.input_problem import InputProblem
from separations.colour.measured_files.reading_tables import number_in, read_table
from separations.ink_need.ink_table import inert
from separations.stock.ink_book import KINDS, Entry
from separations.stock.ink_stock import InkStock

DATE, INK, KIND, GRAMS, NOTE, RECKONED = "date", "ink", "kind", "grams", "note", "reckoned"
_MOST_G = 1e6


def read_entries(path: Path, stock: InkStock) -> tuple[Entry, ...]:
    """Read entries to book: date, ink, kind (delivered, used or counted), grams, notes if any.

    Of used ink ``reckoned`` may say what the run's sheet had as likely (g).

    Raises
    ------
    InputProblem
        When the table cannot be read, names an ink that the list lacks, or a value makes no sense.
    """
    names = {ink.name.casefold(): ink.name for ink in stock.ink}
    found = []
    for line, row in read_table(path):
        where = f"{path}: line {line}"
        for heading in (DATE, INK, KIND, GRAMS):
            if not row.get(heading):
                raise InputProblem(where=where, found=f"no '{heading}'", would_do="the columns "
                                   f"'{DATE}', '{INK}', '{KIND}', '{GRAMS}' and, if any, '{NOTE}' "
                                   f"and '{RECKONED}'")
        name = names.get(row[INK].removeprefix("'").strip().casefold())
        if name is None:
            raise InputProblem(where=where, found=f"the ink '{row[INK]}'",
                               would_do=f"one of {', '.join(names.values())}")
        kind = next((k for k in KINDS if k == row[KIND].strip().casefold()), None)
        if kind is None:
            raise InputProblem(where=where, found=f"'{row[KIND]}'",
                               would_do=f"one of {', '.join(KINDS)}")
        try:
            date = datetime.date.fromisoformat(row[DATE].strip())
        except ValueError:
            raise InputProblem(where=where, found=f"the date '{row[DATE]}'",
                               would_do="a date such as 2026-11-25") from None
        grams = number_in(row[GRAMS].strip(), f"{where}: {GRAMS}", 0.0, _MOST_G, "grams")
        told = row.get(RECKONED, "").strip()
        if told and kind != "used":
            raise InputProblem(where=f"{where}: {RECKONED}", found=f"'{told}' of ink {kind}",
                               would_do="a figure only on lines of ink used")
        reckoned = number_in(told, f"{where}: {RECKONED}", 0.1, _MOST_G, "grams") if told else None
        found.append(Entry(date=date, ink=name, kind=kind, grams=grams, reckoned_g=reckoned,
                           note=" ".join(row.get(NOTE, "").split())))
    return tuple(found)


def entries_csv(entries: Sequence[Entry]) -> str:
    """Entries as CSV (RFC 4180) that `read_entries` takes again."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow((DATE, INK, KIND, GRAMS, NOTE, RECKONED))
    writer.writerows((e.date.isoformat(), inert(e.ink), e.kind, f"{e.grams:g}", inert(e.note),
                      "" if e.reckoned_g is None else f"{e.reckoned_g:g}") for e in entries)
    return stream.getvalue()
