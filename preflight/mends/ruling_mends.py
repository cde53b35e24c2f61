"""Rulings that are too fine for their mesh or film."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from preflight.checks import limits
from preflight.checks.angles import beats_stay_out_of_sight
from preflight.checks.halftone_dots import film_has_tone_steps, ruling_suits_the_mesh
from preflight.facts.submission import Submission
from preflight.findings import Finding, Grade
from preflight.mends.mend import NOTHING, KeyPath, Mend, Shunned, job_with
from preflight.units import ruling

#: Film pixels to one line that give the tone steps asked for.
_PIXELS_PER_LINE = math.sqrt(limits.TONE_STEPS.value)


def ruling_mends(submission: Submission, shunned: Shunned = NOTHING) -> Iterator[Mend]:
    """The finest ruling, in whole lines of the job's own unit, that mesh and film carry.

    Rulings that are ``shunned`` are passed over.
    """
    job = submission.job
    faulty = {name: f for f in reversed(_too_fine(submission)) for name in f.subjects}
    by_key: dict[KeyPath, list[str]] = {}
    for number, ink in enumerate(job.ink):
        key: KeyPath = ("ink", number, "ruling") if ink.ruling else ("halftone", "ruling")
        if ink.name in faulty:
            by_key.setdefault(key, []).append(ink.name)
    for key, names in by_key.items():
        inks = [ink for ink in job.photo_inks if ink.name in names]
        finest_lpcm = min(
            min(job.mesh_of(ink).threads_per_cm for ink in inks) / limits.THREADS_AIMED_AT.value,
            job.film.resolution.dpi / _PIXELS_PER_LINE / ruling("1 l/cm").lpi)
        before = job.ruling_of(inks[0]).written
        after = _clearest(submission, key, finest_lpcm, before, names, shunned)
        if after is not None:
            yield Mend(key_path=key, before=before, after=after, why=faulty[names[0]].says)


def _clearest(submission: Submission, key: KeyPath, finest_lpcm: float, before: str,
              names: list[str], shunned: Shunned) -> str | None:
    """The finest whole ruling that beats least with the meshes of the inks named."""
    in_inches = "cm" not in before
    finest = math.floor((finest_lpcm * ruling("1 l/cm").lpi if in_inches else finest_lpcm) + 1e-9)
    best, fewest = None, len(names) + 1
    for lines in range(finest, math.floor(finest * limits.COARSEST_RULING.value), -1):
        written = f"{lines} lpi" if in_inches else f"{lines} l/cm"
        if not shunned.allows(key, written):
            continue
        tried = replace(submission, moire=(),
                        job=job_with(submission.job, key, ruling(written)))
        if any(_is_of(f, names) for f in _too_fine(tried)):
            continue
        beats = sum(f.grade is not Grade.CLEAR for f in beats_stay_out_of_sight(tried)
                    if _is_of(f, names))
        if beats < fewest:
            best, fewest = written, beats
    return best


def _is_of(finding: Finding, names: Sequence[str]) -> bool:
    return not set(names).isdisjoint(finding.subjects)


def _too_fine(submission: Submission) -> list[Finding]:
    return [f for check in (ruling_suits_the_mesh, film_has_tone_steps)
            for f in check(submission) if f.grade is not Grade.CLEAR]
