"""Has the art enough pixels for its size on the board, and does it say what its colours mean?"""

from __future__ import annotations

import math
from collections.abc import Iterator

from preflight.art.artwork import Artwork
from preflight.basis import Basis, Source
from preflight.checks import limits
from preflight.checks.placing_advice import size_for_pixels, width_of
from preflight.facts.submission import ArtOnBoard, Submission, place_of
from preflight.findings import Figure, Finding, Grade, at_least
from preflight.units import MM_PER_INCH, Ruling

_PROFILES = Source(basis=Basis.PRACTICE, told="a picture says by its profile what it means")
#: No coarser ruling than this is advised; coarser ones are for posters (lpi). Own rule, no source.
_COARSEST_ADVISED_LPI = 25.0


def photo_has_pixels_enough(submission: Submission) -> Iterator[Finding]:
    """Pixels per inch on the board against the finest ruling that prints the photograph."""
    inks = submission.job.photo_inks
    if not inks:
        return
    finest = max((submission.job.ruling_of(ink) for ink in inks), key=lambda r: r.lpcm)
    least, advised = limits.PIXELS_PER_LINE, limits.PIXELS_ADVISED
    for art in _of_kind(submission, "photo"):
        per_line = art.placed.ppi / finest.lpi
        grade = (Grade.STOP if per_line < limits.PIXELS_TO_WASTE.value else
                 Grade.CARE if per_line < least.value else
                 Grade.NOTE if per_line < advised.value else Grade.CLEAR)
        limit = {Grade.STOP: limits.PIXELS_TO_WASTE, Grade.CARE: least}.get(grade, advised)
        yield Finding(
            id="pixels-for-ruling", check="Pixels for the ruling", subjects=(art.table.file,),
            grade=grade,
            says=f"Its {art.artwork.width_px} × {art.artwork.height_px} pixels lie at "
                 f"{art.placed.ppi:.0f} ppi on the board, {per_line:.2f} pixels for each line of "
                 f"{finest.written}.",
            measured=Figure(value=per_line, unit="px per line"),
            limit=limit.least, source=limit.source,
            place=place_of(art.placed.polygon.bounds) if grade is not Grade.CLEAR else None,
            mend="" if grade is Grade.CLEAR else
            _pixels_mended(art, finest, advised.value / per_line, grade))


def _pixels_mended(art: ArtOnBoard, finest: Ruling, times: float, grade: Grade) -> str:
    """More pixels, a coarser ruling, or a smaller print: each by itself gives what is advised."""
    ways = [f"The same crop needs {_more_pixels(art, times)}"]
    coarser = _coarser(finest, times)
    if coarser:
        ways.append(f"or print it with a ruling of {coarser} or coarser")
    smaller = size_for_pixels(art, 1 / times)
    if smaller and (grade is Grade.STOP or not coarser or art.table.bare_wood_around):
        ways.append(f"or lay it smaller on bare wood: {smaller}")
    return "; ".join(ways) + "."


def _more_pixels(art: ArtOnBoard, times: float) -> str:
    """How many pixels the whole photo would need, whatever is cut off of it."""
    whole, table = art.artwork.uncropped, art.table
    # one more, since what is cut off ends on a whole pixel
    width, height = (_round_px(side * times + 1) for side in (whole.width_px, whole.height_px))
    as_wide = f"{math.floor(width_of(art.placed) * 10) / 10:g} mm"
    return f"{width} × {height} pixels" + (
        f' (with width = "{as_wide}" in place of resolution)' if table.resolution else "")


def _round_px(pixels: float) -> int:
    """Rounded up to two digits and a half, since no one needs it closer."""
    step = 10 ** max(len(str(int(pixels))) - 2, 0) // 2 or 1
    return int(-(-pixels // step) * step)


def _coarser(finest: Ruling, times: float) -> str:
    """The finest whole ruling, in the job's own unit, that the pixels do for; empty if too coarse.

    Rounded down, so that it clears what it is to clear.
    """
    if finest.lpi / times < _COARSEST_ADVISED_LPI:
        return ""
    in_cm = "cm" in finest.written
    lines = (finest.lpcm if in_cm else finest.lpi) / times
    return f"{math.floor(lines - 1e-6)} {'l/cm' if in_cm else 'lpi'}"


def line_work_has_pixels_enough(submission: Submission) -> Iterator[Finding]:
    """Line work's pixels are no larger than the finest line that its mesh carries."""
    inks = {ink.name: ink for ink in submission.job.ink}
    for art in _of_kind(submission, "line"):
        assert art.table.ink is not None  # the job file's reader saw to it
        finest_um = submission.job.mesh_of(inks[art.table.ink]).finest_line_um
        pixel_um = MM_PER_INCH * 1000 / art.placed.ppi
        coarse = pixel_um > finest_um
        times = pixel_um / finest_um
        yield Finding(
            id="pixels-for-line-work", check="Pixels for line work", subjects=(art.table.file,),
            grade=Grade.CARE if coarse else Grade.CLEAR,
            says=f"One pixel of the drawing is {pixel_um:.0f} µm on the board; the mesh of "
                 f"{art.table.ink} holds lines of {finest_um:.0f} µm or more.",
            measured=Figure(value=pixel_um, unit="µm"), limit=Figure(value=finest_um, unit="µm"),
            source=limits.FINEST_LINE.source,
            mend=f"Draw it with {_round_px(art.artwork.width_px * times)} × "
                 f"{_round_px(art.artwork.height_px * times)} pixels or more, or as an SVG."
            if coarse else "")


def colours_are_within_reach(submission: Submission) -> Iterator[Finding]:
    """How much of the photograph these inks cannot print on this wood."""
    tones = submission.tones
    if tones is None:
        return
    percent = tones.share_out_of_reach * 100
    grade = (Grade.CARE if percent > limits.FAR_OUT_OF_REACH.value else
             Grade.NOTE if percent > limits.OUT_OF_REACH.value else Grade.CLEAR)
    limit = limits.FAR_OUT_OF_REACH if grade is Grade.CARE else limits.OUT_OF_REACH
    single = len(submission.job.photo_inks) == 1
    if single:  # one ink is chosen for its own colour: it can miss no other
        grade, limit = Grade.CLEAR, limits.OUT_OF_REACH
    yield Finding(
        id="colours-in-reach", check="Colours out of reach", subject="photograph", grade=grade,
        says="One ink prints the photo light and dark in its own hue; no other hue is asked for."
        if single else
        f"{percent:.0f} % of the printed area visibly misses the colour aimed at; over all of it "
        f"the inks miss it by ΔE00 {tones.mean_missed_de00:.1f} on average.",
        measured=Figure(value=0.0 if single else percent, unit="% of the area"),
        limit=limit.figure, source=limit.source,
        mend="" if grade is Grade.CLEAR else
        "Look at the proof. If the loss is not wanted, use other or more inks (topsheet inks "
        "compares those of a stock list), or print a white underbase first.")


def profile_is_known(submission: Submission) -> Iterator[Finding]:
    """A photograph says by a profile what its colours mean."""
    for art in _of_kind(submission, "photo"):
        artwork = art.artwork
        known = artwork.has_profile and not artwork.colour.assumed
        yield Finding(
            id="colour-profile", check="Colour profile", subjects=(art.table.file,),
            grade=Grade.CLEAR if known else Grade.NOTE, says=_profile_told(artwork),
            measured=Figure(value=float(known), unit="usable profiles"),
            limit=at_least(1, "usable profile"), source=_PROFILES,
            mend="" if known else "Save the photo again with its profile embedded.")


def _profile_told(artwork: Artwork) -> str:
    if artwork.has_profile and not artwork.colour.assumed:
        return f"Its colours are read by its profile, {artwork.profile_name}."
    if artwork.has_profile:
        return (f"Its profile, {artwork.profile_name}, cannot be used: its colours are taken as "
                "sRGB.")
    if artwork.mode == "CMYK":
        return ("It is in CMYK and holds no profile that says for which inks: its colours are a "
                "guess.")
    return "It holds no colour profile: its colours are taken as sRGB."


def _of_kind(submission: Submission, kind: str) -> Iterator[ArtOnBoard]:
    return (art for art in submission.art if art.table.kind == kind)
