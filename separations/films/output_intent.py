"""The printing condition that a page of tones is made for, as its PDF tells it."""

from __future__ import annotations

from typing import NamedTuple

import pikepdf

from preflight.job_file.job import Job
from separations.colour.icc.output_profile import is_process, output_profile, why_no_profile

_CHANNELS = 4


class OutputIntent(NamedTuple):
    """A printing condition: its name, what its profile says of itself, and the profile."""

    condition: str
    described: str
    profile: bytes


def output_intent(job: Job) -> OutputIntent | None:
    """The condition of a job in the four process inks; None for others.

    Notes
    -----
    Source: ISO 32000-1, 14.11.5; a profile there has one, three or four channels, so other sets
    of inks have none. From memory, unverified.
    """
    if not is_process(job) or why_no_profile(job) is not None:
        return None
    made = output_profile(job)
    return OutputIntent(condition=f"{job.title}, {job.date.isoformat()}",
                        described=made.description, profile=made.content)


def add_intent(pdf: pikepdf.Pdf, intent: OutputIntent) -> None:
    """Write a printing condition into a document; no registry lists it, so its profile is in."""
    profile = pdf.make_indirect(pikepdf.Stream(
        pdf, intent.profile, N=_CHANNELS, Alternate=pikepdf.Name.DeviceCMYK))
    pdf.Root.OutputIntents = pikepdf.Array([pikepdf.Dictionary(
        Type=pikepdf.Name.OutputIntent, S=pikepdf.Name.GTS_PDFX,
        OutputConditionIdentifier=pikepdf.String("Custom"),
        OutputCondition=pikepdf.String(intent.condition), Info=pikepdf.String(intent.described),
        DestOutputProfile=profile)])
