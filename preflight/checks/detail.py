"""Has the art enough pixels for its size on the board, and does it say what its colours mean?"""

from __future__ import annotations

from collections.abc import Iterator

from preflight.checks import limits
from preflight.facts.submission import ArtOnBoard, Submission, place_of
from preflight.findings import Figure, Finding, Grade, at_least
from preflight.units import MM_PER_INCH

#: Upper end of the trade rule told in `limits.PIXELS_PER_LINE`.
_NOTE_PX = 2.0


def photo_has_pixels_enough(submission: Submission) -> Iterator[Finding]:
    """Pixels per inch on the board against the finest ruling that prints the photograph."""
    inks = submission.job.photo_inks
    if not inks:
        return
    finest = max((submission.job.ruling_of(ink) for ink in inks), key=lambda r: r.lpcm)
    for art in _of_kind(submission, "photo"):
        per_line = art.placed.ppi / finest.lpi
        grade = (Grade.STOP if per_line < 1 else Grade.CARE
                 if per_line < limits.PIXELS_PER_LINE.value
                 else Grade.NOTE if per_line < _NOTE_PX else Grade.CLEAR)
        yield Finding(
            check="Pixels for the ruling", subject=art.table.file, grade=grade,
            says=f"The photo lies at {art.placed.ppi:.0f} pixels per inch on the "
                 f"board, {per_line:.2f} pixels for each line of {finest.written}.",
            measured=Figure(value=per_line, unit="px per line"),
            limit=limits.PIXELS_PER_LINE.least if grade is not Grade.NOTE
            else at_least(_NOTE_PX, "px per line"), source=limits.PIXELS_PER_LINE.source,
            place=place_of(art.placed.polygon.bounds) if grade is not Grade.CLEAR else None,
            mend="" if grade is Grade.CLEAR else
            f"A photo of {2 * finest.lpi:.0f} ppi on the board, or a ruling of "
            f"{art.placed.ppi / 2:.0f} lpi or coarser, would be right.")


def line_work_has_pixels_enough(submission: Submission) -> Iterator[Finding]:
    """Line work's pixels are no larger than the finest line that its mesh carries."""
    inks = {ink.name: ink for ink in submission.job.ink}
    for art in _of_kind(submission, "line"):
        assert art.table.ink is not None  # the job file's reader saw to it
        finest_um = submission.job.mesh_of(inks[art.table.ink]).finest_line_um
        pixel_um = MM_PER_INCH * 1000 / art.placed.ppi
        coarse = pixel_um > finest_um
        yield Finding(
            check="Pixels for line work", subject=art.table.file,
            grade=Grade.CARE if coarse else Grade.CLEAR,
            says=f"One pixel of the drawing is {pixel_um:.0f} µm on the board; the mesh carries "
                 f"lines from {finest_um:.0f} µm.",
            measured=Figure(value=pixel_um, unit="µm"), limit=Figure(value=finest_um, unit="µm"),
            source=limits.FINEST_LINE.source,
            mend=f"Draw it at {MM_PER_INCH * 1000 / finest_um:.0f} ppi or more at final size."
            if coarse else "")


def colours_are_within_reach(submission: Submission) -> Iterator[Finding]:
    """How much of the photograph these inks cannot print on this wood."""
    tones = submission.tones
    if tones is None:
        return
    share = tones.share_out_of_reach
    grade = Grade.CARE if share > 0.25 else Grade.NOTE if share > 0.05 else Grade.CLEAR
    yield Finding(
        check="Colours within reach", subject="photograph", grade=grade,
        says=f"{share * 100:.0f} % of the printed area misses the colour aimed at visibly, by "
             f"ΔE00 {tones.mean_missed_de00:.1f} on average over the whole.",
        measured=Figure(value=share * 100, unit="% of the area"),
        limit=limits.OUT_OF_REACH.figure, source=limits.OUT_OF_REACH.source,
        mend="" if grade is Grade.CLEAR else
        "Look at the proof: if the loss is not wanted, take other or more inks (topsheet inks "
        "compares those of a stock list), or an underbase.")


def profile_is_known(submission: Submission) -> Iterator[Finding]:
    """A photograph says by a profile what its colours mean."""
    for art in _of_kind(submission, "photo"):
        artwork = art.artwork
        yield Finding(
            check="Colour profile", subject=art.table.file,
            grade=Grade.CLEAR if artwork.has_profile else Grade.NOTE,
            says=f"Colours are read through its profile, {artwork.profile_name}."
            if artwork.has_profile else "It holds no colour profile: its colours are taken as "
                                        "sRGB.",
            measured=Figure(value=float(artwork.has_profile), unit="embedded profiles"),
            limit=at_least(1, "embedded profile"),
            source="common practice, no source; sRGB is IEC 61966-2-1",
            mend="" if artwork.has_profile else "Save the photo again with its profile embedded.")


def _of_kind(submission: Submission, kind: str) -> Iterator[ArtOnBoard]:
    return (art for art in submission.art if art.table.kind == kind)
