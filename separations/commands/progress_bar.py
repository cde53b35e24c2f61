"""A bar on the terminal for work on films: how much is done, at what rate, and how long yet."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import click

from separations.runtime.progress import Progress

_GIGA = 1e9


@contextmanager
def film_progress() -> Iterator[Progress]:
    """A callable to tell of (film pixels done, film pixels in all); shown on a terminal only.

    The rate is that since the work began, the time left follows from it.
    """
    bar: Any = None  # click tells no public name of its type
    begun = time.monotonic()

    def tell(done: int, total: int) -> None:
        nonlocal bar, begun
        if not sys.stderr.isatty():
            return
        if bar is None:
            begun = time.monotonic()
            bar = click.progressbar(
                length=total, file=sys.stderr, show_eta=True, show_percent=True, width=30,
                label="Films", item_show_func=_rate_shown)
            bar.render_progress()
        passed = max(time.monotonic() - begun, 1e-3)
        bar.update(done - bar.pos, done / passed / _GIGA)

    try:
        yield tell
    finally:
        if bar is not None:
            bar.render_finish()


def _rate_shown(gigapixels_a_second: float | None) -> str | None:
    return None if gigapixels_a_second is None else f"{gigapixels_a_second:.1f} Gpx/s"
