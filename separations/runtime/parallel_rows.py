"""Compiled loops over rows, shared out to the machine's processors."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor


def processors() -> int:
    """How many processors this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def share_rows(rows: int, work: Callable[[int, int], None], *, least: int = 1) -> None:
    """Call ``work(first, stop)`` on row ranges that together cover ``range(rows)``.

    Parameters
    ----------
    rows : int
        Number of rows.
    work : callable
        Takes a half-open range of rows; must release the interpreter lock to gain, and must
        give the same result however the rows are cut.
    least : int
        Fewest rows worth a thread of their own.
    """
    pieces = max(1, min(4 * processors(), rows // max(least, 1)))
    if pieces == 1 or processors() == 1:
        work(0, rows)
        return
    edges = [rows * piece // pieces for piece in range(pieces + 1)]
    with ThreadPoolExecutor(processors()) as pool:
        for done in [pool.submit(work, edges[p], edges[p + 1]) for p in range(pieces)]:
            done.result()
