"""How far along a long piece of work is, told to whoever asked, but not too often."""

from __future__ import annotations

import time
from collections.abc import Callable

#: Told what is being done.
Say = Callable[[str], None]
#: Told how many film rows, or pixels, are done, and how many there are in all.
Progress = Callable[[int, int], None]
#: Least time between two tellings (s); the last row is always told.
PACE_S = 0.05


def silent(_stage: str) -> None:
    """Say nothing."""


class PacedProgress:
    """Counts rows and passes the count on at most every `PACE_S`.

    Parameters
    ----------
    progress : callable or None
        Told (rows done, rows in all) on the thread that adds the rows.
    rows : int
        Rows in all.
    """

    def __init__(self, progress: Progress | None, rows: int) -> None:
        self._progress = progress
        self._rows = rows
        self._done = 0
        self._told_at = float("-inf")

    def add(self, rows: int) -> None:
        """Count rows that are done."""
        self._done += rows
        if self._progress is None:
            return
        now = time.monotonic()
        if now - self._told_at >= PACE_S or self._done >= self._rows:
            self._told_at = now
            self._progress(self._done, self._rows)
