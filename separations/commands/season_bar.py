"""One bar on the terminal over many jobs: how far they are, at what rate, and how long yet."""

from __future__ import annotations

import sys
import time
from types import TracebackType

from separations.uses.season.season_run import SeasonProgress

_WIDTH = 30
_MINUTE_S, _HOUR_S = 60, 3600


class SeasonBar:
    """The bar; shown on a terminal only, and wiped off at the end of the block."""

    def __init__(self) -> None:
        self._shown = sys.stderr.isatty()
        self._begun = time.monotonic()

    def __enter__(self) -> SeasonBar:
        return self

    def __exit__(self, kind: type[BaseException] | None, fault: BaseException | None,
                 trace: TracebackType | None) -> None:
        self.make_room()

    def make_room(self) -> None:
        """Wipe the bar off, so that a line can be told in its place."""
        if self._shown:
            sys.stderr.write("\r\033[K")
            sys.stderr.flush()

    def show(self, progress: SeasonProgress) -> None:
        """Draw the bar anew."""
        if self._shown:
            sys.stderr.write(f"\r\033[K{bar_text(progress, time.monotonic() - self._begun)}")
            sys.stderr.flush()


def bar_text(progress: SeasonProgress, passed_s: float) -> str:
    """The bar as text: rate and time left follow from what was made in ``passed_s`` (s).

    Jobs that were left as before took no time, and count for no rate.
    """
    made = progress.ended - progress.as_before + sum(progress.at_work)
    share = min((progress.ended + sum(progress.at_work)) / max(progress.of, 1), 1.0)
    full = int(share * _WIDTH)
    text = f"[{'#' * full}{'-' * (_WIDTH - full)}] {progress.ended} of {progress.of} jobs"
    if made <= 0 or passed_s <= 0:
        return text
    rate = made / passed_s
    left = (progress.of - progress.as_before - made) / rate
    return f"{text}, {rate * _MINUTE_S:.1f} a minute, {_span(left)} left"


def _span(seconds: float) -> str:
    if seconds < _MINUTE_S:
        return f"{seconds:.0f} s"
    if seconds < _HOUR_S:
        return f"{seconds / _MINUTE_S:.0f} min"
    return f"{seconds / _HOUR_S:.1f} h"
