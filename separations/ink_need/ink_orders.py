"""What must be ordered for a job: its need of each ink against what the shelf has."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass

from preflight.nouns import counted
from separations.ink_need.ink_estimate import Range


@dataclass(frozen=True, slots=True, kw_only=True)
class InkOrder:
    """One ink that a job prints, held against the shop's stock list.

    Attributes
    ----------
    ink : str
        Its name in the job.
    stock_ink : str or None
        Its name on the list; None where the list has no such ink.
    on_shelf_g : float or None
        What is left of it (g); None where the list does not have it, or does not tell how much.
    reckoned_g : Range
        What the run takes, as reckoned from the films (g).
    expected_g : Range
        The same by what earlier runs took, where they were weighed (g).
    weighed_runs : int
        How many these are.
    past_use_by : date or None
        The date that its tin should be used by, where that is past on the day of printing.
    """

    ink: str
    stock_ink: str | None
    on_shelf_g: float | None
    reckoned_g: Range
    expected_g: Range
    weighed_runs: int = 0
    past_use_by: datetime.date | None = None

    @property
    def order_g(self) -> float | None:
        """What to order (g), by the high figure; None where the list does not tell what is left."""
        if self.stock_ink is None:
            return self.expected_g.high
        if self.on_shelf_g is None:
            return None
        return max(self.expected_g.high - self.on_shelf_g, 0.0)

    @property
    def name(self) -> str:
        """The ink, with its name on the list where that is another."""
        same = self.stock_ink is None or self.stock_ink.casefold() == self.ink.casefold()
        return self.ink if same else f"{self.ink} ({self.stock_ink})"

    @property
    def words(self) -> tuple[str, ...]:
        """What is to be done or known, in words; nothing where there is enough of good ink."""
        return tuple(f"{self.name}: {word}" for word in self._words())

    def _words(self) -> Iterator[str]:
        need = self.expected_g
        takes = f"the run takes {need.low:.0f} to {need.high:.0f} g"
        if self.stock_ink is None:
            yield f"not on the stock list; order {need.high:.0f} g ({takes})"
            return
        if self.weighed_runs:
            was = self.reckoned_g
            yield (f"going by {counted(self.weighed_runs, 'weighed run')}, expect "
                   f"{need.likely:.0f} g ({need.low:.0f} to {need.high:.0f} g), not the "
                   f"{was.likely:.0f} g ({was.low:.0f} to {was.high:.0f} g) reckoned from the "
                   "films")
        if self.on_shelf_g is None:
            yield f"the stock list does not say how much is left; {takes}"
        elif self.order_g:
            yield f"order {self.order_g:.0f} g; {self.on_shelf_g:.0f} g left, {takes}"
        if self.past_use_by is not None:
            yield (f"past its use-by date, {self.past_use_by.isoformat()}; test it or open a fresh "
                   "tin")
