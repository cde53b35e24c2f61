"""Bleed that the art falls short of, and a choke too small for hand register."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from preflight.checks import limits
from preflight.checks.angles import beats_stay_out_of_sight
from preflight.checks.art_on_board import art_covers_the_area
from preflight.checks.halftone_dots import (
    dots_are_held_by_the_mesh,
    film_has_tone_steps,
    ruling_suits_the_mesh,
)
from preflight.facts.submission import ArtOnBoard, Submission
from preflight.findings import Finding, Grade, listed
from preflight.job_file.job import Job
from preflight.mends.mend import NOTHING, KeyPath, Mend, Shunned, job_with
from preflight.units import ruling, share

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
        key: KeyPath = ("ink", number, "ruling") if ink.ruling else (
            "halftone", "ruling")
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
            yield Mend(key_path=key, before=before, after=after,
                       why=f"{listed(names)}: {faulty[names[0]].says}")


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
        tried = replace(submission, job=job_with(submission.job, key, ruling(written)))
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
                       why=f"{listed([n for f in found for n in f.subjects])}: {found[0].says}")


def _held_tones(job: Job, key: str) -> float:
    specs = [job.halftone_of(ink) for ink in job.photo_inks]
    tones = [getattr(spec, key) for spec in specs if spec.is_periodic]
    return float(max(tones) if key == "smallest_tone" else min(tones))


def bleed_mends(submission: Submission) -> Iterator[Mend]:
    """Repeat the photo's edge pixels over the bleed where nothing inside the trim is missing.

    Proposed only where it mends the finding wholly; art that is missing inside the trim is for
    the artist to place.
    """
    found = list(art_covers_the_area(submission))
    if all(f.grade is Grade.CLEAR for f in found) or found[0].grade is not Grade.CLEAR:
        return
    short = found[1]
    photos = [n for n, art in enumerate(submission.art)
              if art.table.kind == "photo" and not art.table.fill_edges]
    filled = [n for n in photos if not _is_short(submission, [n])][:1] or photos
    if _is_short(submission, filled):
        return
    for number in filled:
        yield Mend(key_path=("art", submission.art[number].order,
                             "fill_edges"), before=None, after=True,
                   why=f"{short.says} All of it lies in the bleed, which is cut off: the photo's "
                       "edge pixels are repeated there")


def _is_short(submission: Submission, filled: list[int]) -> bool:
    art = tuple(_filling(a) if n in filled else a for n, a in enumerate(submission.art))
    return any(f.grade is not Grade.CLEAR
               for f in art_covers_the_area(replace(submission, art=art)))


def _filling(art: ArtOnBoard) -> ArtOnBoard:
    return replace(art, table=replace(art.table, fill_edges=True))


def choke_mends(submission: Submission) -> Iterator[Mend]:
    """An underbase drawn in by less than hand register holds shows beside the inks above it."""
    for number, ink in enumerate(submission.job.ink):
        if ink.prints == "underbase" and ink.choke and ink.choke.mm < limits.CHOKE.value:
            yield Mend(key_path=("ink", number, "choke"), before=ink.choke.written,
                       after=f"{limits.CHOKE.value:g} mm",
                       why=f"{ink.name}: an underbase drawn in by {ink.choke.written} shows at "
                           "the edges of the inks above it when register is off by more (common "
                           "practice, no source)")
