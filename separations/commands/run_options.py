"""The options of ``topsheet run``."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class RunOptions:
    """What ``topsheet run`` is asked for.

    Attributes
    ----------
    out, overview : Path or None
        Where the outputs go, and the overview.
    stock : Path or None
        A stock list to hold all ink against.
    lines : bool
        Whether each job is told as a line of JSON, and nothing else on standard output.
    """

    out: Path | None
    despite_stops: bool
    again: bool
    at_once: int | None
    overview: Path | None
    stock: Path | None
    lines: bool

    @property
    def are_for_many(self) -> bool:
        """Whether any is one that a run of one job alone has no use for."""
        return bool(self.again or self.at_once or self.overview or self.stock or self.lines)
