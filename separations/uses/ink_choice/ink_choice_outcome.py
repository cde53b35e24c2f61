"""What choosing inks yields, as plain values."""

from __future__ import annotations

from dataclasses import dataclass

from preflight.job_file.job import Job
from preflight.nouns import counted
from separations.stock.ink_stock import InkStock, StockInk
from separations.uses.ink_choice.ink_choice import WORTH_A_SCREEN
from separations.uses.ink_choice.ink_set_score import SetScore

Lab = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class HelpedColour:
    """A colour of the photograph that one more ink brings nearer.

    Attributes
    ----------
    lab : tuple of three float
        CIELAB D50 aimed at.
    share : float
        Share of the picture that it stands for, 0 to 1.
    before_de00, after_de00 : float
        Colour difference with one ink less, and now.
    """

    lab: Lab
    share: float
    before_de00: float
    after_de00: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SetChoice:
    """The best set found for one number of inks.

    Attributes
    ----------
    inks : tuple of StockInk
        In print order.
    solids_srgb : tuple of tuple of int
        Colour of each solid on this wood, sRGB 0 to 255.
    score : SetScore
        Against the colours that all sets are compared by.
    gain_de00 : float
        Mean dE00 less than with one ink less; 0 for the first.
    separated_de00 : float or None
        Mean dE00 against the same colours, measured on a small separation of the photograph;
        for the advised set alone.
    own_de00 : float
        Mean dE00 against what the job's rendering asks of this set alone, with its own white
        and black: the figure that a job with these inks reports.
    brought_in, left_out : tuple of str
        Names that differ from the set of one ink less.
    helped : tuple of HelpedColour
        The colours that gain most over the set of one ink less.
    """

    inks: tuple[StockInk, ...]
    solids_srgb: tuple[tuple[int, int, int], ...]
    score: SetScore
    gain_de00: float
    separated_de00: float | None
    own_de00: float
    brought_in: tuple[str, ...]
    left_out: tuple[str, ...]
    helped: tuple[HelpedColour, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class InkChoice:
    """Sets of inks for a job's photograph.

    Attributes
    ----------
    sets : tuple of SetChoice
        For 1, 2, ... inks.
    advised : int
        How many inks are worth their screens.
    white_lab, black_lab : tuple of three float or None
        Where the photograph's white and black are put for comparing sets; None when the job
        asks for the photograph's own colours.
    colours : int
        Representative colours that stood for the photograph.
    too_cool : tuple of str
        Inks of the stock that do not stand the job's press, and so had no part.
    """

    job: Job
    stock: InkStock
    sets: tuple[SetChoice, ...]
    advised: int
    white_lab: Lab | None
    black_lab: Lab | None
    colours: int
    too_cool: tuple[str, ...]

    @property
    def past_told(self) -> str:
        """The list's inks that are past their date on the day of the job, in a sentence."""
        past = [f"{ink.name} ({ink.use_by.isoformat()})" for ink in self.stock.ink
                if ink.use_by is not None and ink.is_past(self.job.date)]
        return "" if not past else (
            f"Past {'its' if len(past) == 1 else 'their'} use-by date on "
            f"{self.job.date.isoformat()}: {', '.join(past)}. Test before printing, or open a "
            "fresh tin.")

    @property
    def advice(self) -> str:
        """How many inks to print, and why, in a sentence or two."""
        count, tried = self.advised, len(self.sets)
        names = ", ".join(ink.name for ink in self.sets[count - 1].inks)
        least = f"ΔE00 {WORTH_A_SCREEN:g}"
        inks = counted(count, "ink")
        if count == tried:
            return (f"Print {inks}: {names}. Each one gains {least} or more on average; more than "
                    f"{tried} were not tried.")
        gain = self.sets[count].gain_de00
        beyond = "" if count + 1 == tried else \
            f", and no larger set up to {tried} inks gains that much for each further screen"
        return (f"Print {inks}: {names}. One more would bring the whole picture ΔE00 {gain:.2f} "
                f"nearer on average, less than the {least} that is worth a screen{beyond}.")
