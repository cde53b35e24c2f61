"""Bad input, told in one sentence."""

from __future__ import annotations

from enum import IntEnum


class ExitStatus(IntEnum):
    """What the command says to the shell."""

    CLEAR = 0
    STOP_FINDING = 1
    BAD_INPUT = 2
    OWN_FAULT = 70


class InputProblem(Exception):
    """Something the user gave cannot be used.

    Parameters
    ----------
    where : str
        The file (and, for a job file, its key path), e.g. ``"job.toml: ink[2].ruling"``.
    found : str
        What stands there, e.g. ``"'45 lppi'"``.
    would_do : str
        What would be accepted, e.g. ``"a ruling such as '45 lpi' or '18 l/cm'"``.
    """

    def __init__(self, *, where: str, found: str, would_do: str) -> None:
        self.where = where
        self.found = found
        self.would_do = would_do
        super().__init__(self.sentence)

    @property
    def sentence(self) -> str:
        """The whole fault as one line of text, control characters made harmless."""
        text = f"{self.where}: found {self.found}; {self.would_do} would do."
        return "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in text)
