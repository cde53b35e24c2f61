"""Dots and tone ends that the mesh does not hold, and too much ink at one place."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from preflight.checks import limits
from preflight.checks.dots_on_the_press import printed_ends, smallest_dots_were_printed
from preflight.checks.halftone_dots import dots_are_held_by_the_mesh, tone_ends_are_few
from preflight.checks.hold_on_mesh import film_dots_are_held
from preflight.checks.inks_on_each_other import inks_do_not_pile_up, tone_sum_is_held
from preflight.checks.moire import scattered_dots_outgrow_the_mesh
from preflight.facts.submission import Submission
from preflight.findings import Grade
from preflight.job_file.job import Job
from preflight.job_file.job_tables import SeparationTable
from preflight.mends.mend import Mend
from preflight.units import share


def tone_end_mends(submission: Submission) -> Iterator[Mend]:
    """Smallest dots and holes that every mesh of the job holds, where the job sets smaller ones."""
    job = submission.job
    faults = [f for f in dots_are_held_by_the_mesh(submission) if f.grade is not Grade.CLEAR]
    for key, id_ in (("smallest_tone", "smallest-dot"), ("largest_tone", "smallest-hole")):
        found = [f for f in faults if f.id == id_]
        written = getattr(job.halftone, key)
        if not found or written is None:
            continue
        held = _held_tones(replace(job, halftone=replace(
            job.halftone, smallest_tone=None, largest_tone=None)), key)
        tenths = math.ceil(held * 1000) if key == "smallest_tone" else math.floor(held * 1000)
        after = f"{tenths / 10:g} %"
        if share(after).fraction != written.fraction:
            yield Mend(key_path=("halftone", key), before=written.written, after=after,
                       why=found[0].says)


def printed_end_mends(submission: Submission) -> Iterator[Mend]:
    """Smallest dots and holes that the press was seen to hold, where it lost those of the films."""
    faults = [f for f in smallest_dots_were_printed(submission) if f.grade is Grade.CARE]
    for key, id_ in (("smallest_tone", "smallest-dot-printed"),
                     ("largest_tone", "smallest-hole-printed")):
        found = [f for f in faults if f.id == id_]
        if not found:
            continue
        good = [end.good_tone for end in printed_ends(submission)
                if end.key == key and end.grade is Grade.CARE]
        tenths = (math.ceil(round(max(good) * 1000, 3)) if key == "smallest_tone"
                  else math.floor(round(min(good) * 1000, 3)))
        written = getattr(submission.job.halftone, key)
        yield Mend(key_path=("halftone", key), before=written.written if written else None,
                   after=f"{tenths / 10:g} %", why=found[0].says)


def _held_tones(job: Job, key: str) -> float:
    specs = [job.halftone_of(ink) for ink in job.photo_inks]
    tones = [getattr(spec, key) for spec in specs if spec.is_periodic]
    return float(max(tones) if key == "smallest_tone" else min(tones))


def small_dot_mends(submission: Submission) -> Iterator[Mend]:
    """Dots thinned out, in place of tones that are lost."""
    asked = submission.job.separation.small_dots
    found = [f for check in (tone_ends_are_few, film_dots_are_held)
             for f in check(submission) if f.grade is not Grade.CLEAR]
    if asked != "thin" and found:
        yield Mend(key_path=("separation", "small_dots"), before=asked, after="thin",
                   why=found[0].says)


def stochastic_dot_mends(submission: Submission) -> Iterator[Mend]:
    """Stochastic dots so large that the weave does not decide which of them print."""
    job = submission.job
    found = {name: f for f in scattered_dots_outgrow_the_mesh(submission)
             if f.grade is not Grade.CLEAR for name in f.subjects}
    own = [n for n, ink in enumerate(job.ink) if ink.name in found and ink.stochastic_dot]
    shared = [ink for n, ink in enumerate(job.ink) if ink.name in found and n not in own]
    for number in own:
        ink = job.ink[number]
        before = None if ink.stochastic_dot is None else ink.stochastic_dot.written
        yield Mend(key_path=("ink", number, "stochastic_dot"), before=before,
                   after=_least_dot(job.mesh_of(ink).pitch_um), why=found[ink.name].says)
    if shared and job.halftone.stochastic_dot is not None:
        pitch_um = max(job.mesh_of(ink).pitch_um for ink in shared)
        yield Mend(key_path=("halftone", "stochastic_dot"),
                   before=job.halftone.stochastic_dot.written, after=_least_dot(pitch_um),
                   why=found[shared[0].name].says)


def _least_dot(pitch_um: float) -> str:
    return f"{math.ceil(limits.SCATTERED_DOT.value * pitch_um)} µm"


def tone_sum_mends(submission: Submission) -> Iterator[Mend]:
    """A limit of the tone sum that screen inks, and the ink that may lie on each other, allow."""
    limit = submission.job.separation.tone_sum_limit
    usual = SeparationTable().tone_sum_limit
    high = next((f for f in tone_sum_is_held(submission) if f.id == "tone-sum-usual"
                 and f.grade is not Grade.CLEAR), None)
    piled = next((f for f in inks_do_not_pile_up(submission) if f.grade is not Grade.CLEAR), None)
    after = limit.fraction
    if high is not None:
        after = min(after, usual.fraction)
    if piled is not None and submission.layers is not None and submission.tones is not None:
        sum_now = min(limit.fraction, submission.tones.greatest_sum)
        # a little less than in proportion: tones of one sum are not all alike in height
        tens = math.floor(9.5 * sum_now * piled.limit.value / piled.measured.value)
        if tens / 10 >= limits.LEAST_TONE_SUM.value / 100:
            after = min(after, tens / 10)
    why = high or piled
    if why is not None and after < limit.fraction:
        yield Mend(key_path=("separation", "tone_sum_limit"), before=limit.written,
                   after=f"{after * 100:.0f} %", why=why.says)
