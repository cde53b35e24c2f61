"""Which job this is, in eight letters: on films, report and sheets alike."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import fields
from pathlib import Path

from preflight.job_file.job import NOT_KEYS, Job

#: Tables that count only where a job has them: others keep the revision that they had before.
_OF_TRACKS = ("landmark", "ground", "track", "plan")
#: Letters that are not taken for others or for figures.
_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
_COUNT = 8


def named_files(job: Job) -> Iterator[Path]:
    """The files that a job names, as it names them; faults as in `Job.beside`."""
    profile = job.profile.points if job.profile else None
    names = (*(name for art in job.art for name in (art.file, art.opacity, art.font)),
             *(line.font for line in job.line), *(note.font for note in job.note),
             *(name for track in job.track for name in (track.file, track.font)),
             job.ground.grid, job.plan.font if job.plan else None,
             job.board.outline, profile, job.press_profile,
             *(ink.reflectance for ink in job.ink), job.wood.reflectance)
    yield from (job.beside(name) for name in names if name)


def job_revision(job: Job, content_of: Callable[[Path], str]) -> str:
    """Eight letters that change with any value of the job and any byte of the files it names.

    Parameters
    ----------
    job : Job
        The job.
    content_of : callable
        Digest of what a file holds.
    """
    # Keys that name spectra are in no repr, so that jobs without them keep the letters that they
    # had before there were such keys; what the spectra are counts by the files' content.
    told = [f"{field.name}={getattr(job, field.name)!r}" for field in fields(job)
            if field.name not in NOT_KEYS and not (
                field.name in _OF_TRACKS and getattr(job, field.name) == field.default)]
    told += [content_of(path) for path in named_files(job)]
    return revision_letters(told)


def revision_letters(told: Iterable[str]) -> str:
    """Eight letters that change with any of the texts."""
    number = int.from_bytes(hashlib.sha256("\n".join(told).encode()).digest(), "big")
    letters = []
    for _ in range(_COUNT):
        number, place = divmod(number, len(_LETTERS))
        letters.append(_LETTERS[place])
    return "".join(letters)
