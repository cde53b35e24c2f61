"""The smallest dots and holes of the films, against those that the press's test sheet held."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from preflight.basis import Basis, Source
from preflight.facts.submission import Submission
from preflight.findings import Figure, Finding, Grade, at_least
from preflight.press.halftone_spec import dot_diameter_um, tone_of_dot

ToneEnd = Literal["smallest_tone", "largest_tone"]
#: Widths (µm) that are as good as equal: tones are told in tenths of a percent.
_ROUNDING_UM = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedEnd:
    """One end of an ink's tones in this job, and the same on the test sheet.

    Attributes
    ----------
    ink : str
        The ink.
    key : ToneEnd
        Which end.
    asked_um, held_um, lost_um : float
        Diameters (µm) of the smallest dots, or holes, that the films have, of those that the
        press held, and of those that it lost.
    good_tone : float
        The film tone (0 to 1) of this job whose dots are as large as those held.
    """

    ink: str
    key: ToneEnd
    asked_um: float
    held_um: float
    lost_um: float
    good_tone: float

    @property
    def grade(self) -> Grade:
        """Care where the press lost dots as large; a note where nobody saw any of that size."""
        if self.asked_um >= self.held_um - _ROUNDING_UM:
            return Grade.CLEAR
        return Grade.CARE if self.asked_um <= self.lost_um + _ROUNDING_UM else Grade.NOTE


def printed_ends(submission: Submission) -> Iterator[PrintedEnd]:
    """All ends at which the press was seen to lose something."""
    job = submission.job
    profiled = {ink.name: ink for ink in submission.profile_inks}
    for ink in job.photo_inks:
        spec = job.halftone_of(ink)
        if ink.name not in profiled or not spec.is_periodic or spec.makes_lines:
            continue
        then = profiled[ink.name].ruling_lpcm or spec.ruling_lpcm
        seen = profiled[ink.name].seen
        ends: tuple[tuple[ToneEnd, float, float | None, float | None], ...] = (
            ("smallest_tone", spec.smallest_tone, seen.smallest_tone, seen.lost_tone),
            ("largest_tone", 1 - spec.largest_tone,
             None if seen.largest_tone is None else 1 - seen.largest_tone,
             None if seen.closed_tone is None else 1 - seen.closed_tone))
        for key, asked, held, lost in ends:
            if held is None or lost is None:
                continue
            held_um = dot_diameter_um(held, then)
            good = tone_of_dot(held_um, spec.ruling_lpcm)
            yield PrintedEnd(
                ink=ink.name, key=key, asked_um=dot_diameter_um(asked, spec.ruling_lpcm),
                held_um=held_um, lost_um=dot_diameter_um(lost, then),
                good_tone=good if key == "smallest_tone" else 1 - good)


def smallest_dots_were_printed(submission: Submission) -> Iterator[Finding]:
    """Whether the press's test sheet held dots and holes as small as the films have."""
    for end in printed_ends(submission):
        id_, what = (("smallest-dot-printed", "dot") if end.key == "smallest_tone" else
                     ("smallest-hole-printed", "hole"))
        yield Finding(
            id=id_, check=f"Smallest {what} as printed", subjects=(end.ink,), grade=end.grade,
            says=f"The smallest {what} of the films is {end.asked_um:.0f} µm wide; on the press's "
                 f"test sheet {what}s of {end.held_um:.0f} µm were printed and those of "
                 f"{end.lost_um:.0f} µm lost (counted in a scan).",
            measured=Figure(value=end.asked_um, unit="µm"),
            limit=at_least(end.held_um, "µm"),
            source=Source(basis=Basis.MEASURED, told="the press profile, read from a scan"),
            mend="" if end.grade is Grade.CLEAR else
            f"Set {end.key} = \"{100 * end.good_tone:.1f} %\", or use a coarser ruling.")
