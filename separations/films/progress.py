"""How far along a long piece of work is, told to whoever asked, but not too often."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

#: Told how many film rows, or pixels, are done, and how many there are in all.
Progress = Callable[[int, int], None]
#: Least time between two tellings (s); the last row is always told.
PACE_S = 0.05


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


class SharedProgress:
    """Adds up parts of equal weight that are done beside each other, and tells of their sum.

    Parameters
    ----------
    progress : callable or None
        Told (pixels done, pixels in all), by one thread at a time.
    parts, pixels : int
        How many parts there are, and the pixels of each.
    """

    def __init__(self, progress: Progress | None, parts: int, pixels: int) -> None:
        self._progress = progress
        self._done = [0] * parts
        self._pixels = pixels
        self._telling = threading.Lock()

    def part(self, number: int) -> Progress | None:
        """What is told of one part, in any measure of its own; nothing where nobody asks."""
        progress = self._progress
        if progress is None:
            return None

        def tell(done: int, of: int) -> None:
            with self._telling:
                self._done[number] = self._pixels * done // of
                progress(sum(self._done), self._pixels * len(self._done))

        return tell
