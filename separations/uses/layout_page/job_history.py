"""The texts that a job has had, so that every edit can be taken back and made again."""

from __future__ import annotations

import zlib
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Step:
    """One text of a job, packed, and what led to it.

    Attributes
    ----------
    packed : bytes
        The text, compressed: thousands of edits of one job are kept.
    told : str
        The edit in words; empty for the text that was opened.
    """

    packed: bytes
    told: str

    @property
    def text(self) -> str:
        """The text."""
        return zlib.decompress(self.packed).decode("utf-8")


def step_of(text: str, told: str) -> Step:
    """A text and what led to it."""
    return Step(zlib.compress(text.encode("utf-8"), 6), told)


class JobHistory:
    """Steps in order, and which of them is the job now.

    Parameters
    ----------
    text : str
        The text that was opened.
    """

    def __init__(self, text: str) -> None:
        self._steps = [step_of(text, "")]
        self.place = 0

    @property
    def text(self) -> str:
        """The job's text now."""
        return self._steps[self.place].text

    def __len__(self) -> int:
        """How many steps there are."""
        return len(self._steps)

    def __getitem__(self, place: int) -> Step:
        """One of them."""
        return self._steps[place]

    def add(self, text: str, told: str) -> None:
        """Make a text the job's; what was taken back before can no longer be made again."""
        del self._steps[self.place + 1:]
        self._steps.append(step_of(text, told))
        self.place = len(self._steps) - 1

    def move(self, by: int) -> bool:
        """Take steps back (negative) or make them again; False where there are none."""
        if not 0 <= self.place + by < len(self._steps):
            return False
        self.place += by
        return True

    @property
    def undoes(self) -> str | None:
        """What taking back would take back; None where there is nothing."""
        return self._steps[self.place].told if self.place else None

    @property
    def redoes(self) -> str | None:
        """What making again would make again; None where there is nothing."""
        return self._steps[self.place + 1].told if self.place + 1 < len(self._steps) else None
