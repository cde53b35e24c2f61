"""Bleed that the art falls short of, and a choke too small for hand register."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from preflight.checks.placement import art_covers_the_area
from preflight.findings import Grade
from preflight.job_file.job import UNDERBASE_CHOKE_MM
from preflight.mends.mend import Mend
from preflight.submission import ArtOnBoard, Submission


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
        yield Mend(key_path=("art", submission.job.art.index(submission.art[number].table),
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
        if ink.prints == "underbase" and ink.choke and ink.choke.mm < UNDERBASE_CHOKE_MM:
            yield Mend(key_path=("ink", number, "choke"), before=ink.choke.written,
                       after=f"{UNDERBASE_CHOKE_MM:g} mm",
                       why=f"{ink.name}: an underbase drawn in by {ink.choke.written} shows at "
                           "the edges of the inks above it when register is off by more (common "
                           "practice, no source)")
