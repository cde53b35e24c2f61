"""The overview as CSV: a row a job, and a row an ink."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from separations.ink_need.ink_table import inert
from separations.uses.season.overview_figures import Overview

_JOB_HEADS = ("job", "output", "title", "board", "boards", "made", "grade", "stops", "cares",
              "notes", "worst_finding", "films", "inks", "meshes", "rulings",
              "run_g_low", "run_g_likely", "run_g_high", "says")
_INK_HEADS = ("ink", "colour", "jobs", "run_g_low", "run_g_likely", "run_g_high", "stock_ink",
              "stock_g", "short_g")


def jobs_csv(overview: Overview) -> str:
    """A row a job (RFC 4180), in the order told.

    Notes
    -----
    A word that a spreadsheet would take for a formula is led by an apostrophe.
    """
    rows = []
    for result in overview.results:
        counts = [sum(f.grade == grade for f in result.findings)
                  for grade in ("stop", "care", "note")]
        worst = result.findings[0].says if result.findings else ""
        rows.append((
            result.job, result.out, result.title, result.board, result.boards,
            "no" if result.state == "not made" else "yes", result.grade or "", *counts, worst,
            result.films, "; ".join(s.ink for s in result.screens),
            "; ".join(dict.fromkeys(s.mesh for s in result.screens)),
            "; ".join(dict.fromkeys(s.ruling for s in result.screens)),
            *(f"{grams:.1f}" for grams in result.run_g), result.says))
    return _csv(_JOB_HEADS, rows)


def inks_csv(overview: Overview) -> str:
    """A row an ink (RFC 4180), most needed first."""
    return _csv(_INK_HEADS, (
        (ink.ink, ink.colour or "", len(ink.jobs), *(f"{grams:.1f}" for grams in ink.run_g),
         ink.stock_ink or "", "" if ink.stock_g is None else f"{ink.stock_g:.1f}",
         "" if ink.short_g is None else f"{ink.short_g:.1f}") for ink in overview.inks))


def _csv(heads: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(heads)
    writer.writerows([inert(cell) if isinstance(cell, str) else cell for cell in row]
                     for row in rows)
    return stream.getvalue()
