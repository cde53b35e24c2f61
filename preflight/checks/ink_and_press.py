"""How much ink meets at one place, and whether the inks stand the press."""

from __future__ import annotations

from collections.abc import Iterator

from preflight.checks import limits
from preflight.findings import Figure, Finding, Grade, at_least
from preflight.submission import Submission


def tone_sum_is_held(submission: Submission) -> Iterator[Finding]:
    """The measured sum of tone values against the job's limit, and that against practice."""
    if submission.tones is None or len(submission.job.photo_inks) < 2:
        return
    limit = submission.job.separation.tone_sum_limit
    greatest = submission.tones.greatest_sum
    over = greatest > limit.fraction + 1e-4
    yield Finding(
        check="Tone sum", subject="separation", grade=Grade.STOP if over else Grade.CLEAR,
        says=f"The heaviest place takes {greatest * 100:.0f} % of ink; the job allows "
             f"{limit.written}.",
        measured=Figure(value=greatest * 100, unit="%"),
        limit=Figure(value=limit.fraction * 100, unit="%"),
        source="the job's [separation] table",
        place=submission.tones.place_of_sum if over else None,
        mend="Raise tone_sum_limit or separate again." if over else "")
    high = min(limit.fraction, greatest) * 100 > limits.TONE_SUM.value
    yield Finding(
        check="Tone sum for screen inks", subject="separation",
        grade=Grade.CARE if high else Grade.CLEAR,
        says=f"Up to {greatest * 100:.0f} % of ink is laid down at one place.",
        measured=Figure(value=greatest * 100, unit="%"),
        limit=limits.TONE_SUM.figure, source=limits.TONE_SUM.source,
        mend="Set tone_sum_limit = \"260 %\"." if high else "")


def inks_stand_the_press(submission: Submission) -> Iterator[Finding]:
    """At stage ``sheet`` the printed ink goes through the hot press."""
    job, reserve = submission.job, limits.HEAT_RESERVE
    if job.stage != "sheet":
        return
    press, stands = job.press.temperature, []
    for ink in job.ink:
        if ink.heat_limit is None:
            yield Finding(
                check="Heat of the press", subject=ink.name, grade=Grade.CARE,
                says=f"Its heat limit is not known; the press runs at {press.written}.",
                measured=Figure(value=0, unit="known heat limits"),
                limit=at_least(1, "known heat limit"),
                source="the ink's own data sheet decides",
                mend="Read it in the ink's data sheet and set heat_limit; press a trial strip.")
            continue
        spare = ink.heat_limit.celsius - press.celsius
        if spare >= reserve.value:
            stands.append((spare, ink))
            continue
        yield Finding(
            check="Heat of the press", subject=ink.name,
            grade=Grade.STOP if spare < 0 else Grade.CARE,
            says=f"It stands {ink.heat_limit.written}; the press runs at {press.written}.",
            measured=Figure(value=spare, unit=reserve.unit), limit=reserve.least,
            source=reserve.source,
            mend="Press cooler and longer if the resin's data sheet allows, take another ink, or "
                 "print at stage \"board\".")
    if stands:
        spare, ink = min(stands, key=lambda pair: pair[0])
        assert ink.heat_limit is not None  # those without were told above
        told = "All inks stand" if len(stands) == len(job.ink) else f"{len(stands)} inks stand"
        yield Finding(
            check="Heat of the press",
            subject="all inks" if len(stands) == len(job.ink) else "other inks",
            grade=Grade.CLEAR,
            says=f"{told} the press at {press.written}; {ink.name} stands least, "
                 f"{ink.heat_limit.written}.",
            measured=Figure(value=spare, unit=reserve.unit), limit=reserve.least,
            source=reserve.source)
