"""Is the photograph what its pixels promise: detail without blocks, bands, lost ends or grit?"""

from __future__ import annotations

from collections.abc import Iterator

from preflight.checks.limits import FILTER_MARKS
from preflight.facts.submission import Submission
from preflight.findings import Figure, Finding, Grade, Place, at_least
from preflight.photo_quality.photo_facts import PhotoFacts
from preflight.units import MM_PER_INCH

#: A camera's own pixels carry detail to about this share of what they could.
USUAL_SHARPNESS = 0.7
#: Limits of true pixels for each line: the trade rule's 1.5 and 2, times the usual sharpness.
CARE_TRUE_PX, NOTE_TRUE_PX = 1.05, 1.4
#: Steps at JPEG's block edges (L*) that are told of: first to be known, then to be looked at.
NOTE_BLOCK_STEP, CARE_BLOCK_STEP = 0.3, 1.0
#: Under this one true pixel spans two lines of the halftone.
STOP_TRUE_PX = 0.5

_TRUE_RULE = (f"trade rule of 1.5 to 2 pixels per line, times {USUAL_SHARPNESS:g}, the share of "
              "its limit that a camera's photo carries at half contrast (own rule, no source)")


def photo_has_true_pixels_enough(submission: Submission) -> Iterator[Finding]:
    """True pixels per inch, beside the nominal, against the finest ruling."""
    for photo in submission.photos:
        lpi = photo.cell_ruling_lpcm * MM_PER_INCH / 10
        limit = at_least(CARE_TRUE_PX, "true px per line")
        if photo.true_fraction is None or photo.true_ppi is None:
            yield Finding(
                check="True pixels for the ruling", subject=photo.file, grade=Grade.NOTE,
                says="The photo has too few pixels or too little detail to tell how sharp it is.",
                measured=Figure(value=photo.ppi / lpi, unit="px per line"), limit=limit,
                source=_TRUE_RULE, mend="Look at it at full size.")
            continue
        per_line = photo.true_ppi / lpi
        # A picture may be soft on purpose: only one that was enlarged is a stop.
        grade = (Grade.STOP if per_line < STOP_TRUE_PX and photo.enlarged_by
                 else Grade.CARE if per_line < CARE_TRUE_PX
                 else Grade.NOTE if per_line < NOTE_TRUE_PX else Grade.CLEAR)
        traces = (f" It bears traces of an enlargement of {photo.enlarged_by:.2f} times."
                  if photo.enlarged_by else "")
        yield Finding(
            check="True pixels for the ruling", subject=photo.file, grade=grade,
            says=f"The photo's detail is worth {photo.true_ppi:.0f} true pixels per inch of its "
                 f"{photo.ppi:.0f} on the board, {per_line:.2f} for each line of the "
                 f"halftone.{traces}",
            measured=Figure(value=per_line, unit="true px per line"),
            limit=limit if grade is not Grade.NOTE
            else at_least(NOTE_TRUE_PX, "true px per line"),
            source=_TRUE_RULE, place=photo.place_softest if grade is not Grade.CLEAR else None,
            mend="" if grade is Grade.CLEAR else
            "The report's map of true pixels shows where. Take the original file from before it "
            "was enlarged, reduced, filtered or sent, or a larger original; more pixels of the "
            "same detail do not help.")


def jpeg_blocks_stay_hidden(submission: Submission) -> Iterator[Finding]:
    """Edges of JPEG blocks in smooth parts."""
    for photo in submission.photos:
        grade = (Grade.CARE if photo.block_step > CARE_BLOCK_STEP else
                 Grade.NOTE if photo.block_step > NOTE_BLOCK_STEP else Grade.CLEAR)
        yield _finding(
            "JPEG blocks", photo, grade, photo.block_step, NOTE_BLOCK_STEP, "L* at block edges",
            f"Smooth parts step by {photo.block_step:.2f} L* at the edges of JPEG's blocks.",
            "own rule, no source: one L* is about the least difference seen side by side; JPEG of "
            "quality 92 stays under 0.3",
            photo.place_blocks,
            "Take the photo as it was before it was compressed so far; save it as PNG or TIFF, or "
            "as JPEG of quality 92 or more.")


def gradients_are_smooth(submission: Submission) -> Iterator[Finding]:
    """Posterised skies, and levels that a picture has lost."""
    for photo in submission.photos:
        stepped, missing = photo.stepped * 100, photo.missing_levels * 100
        grade = (Grade.CARE if stepped > 1 else
                 Grade.NOTE if stepped > 0.2 or missing > 25 else Grade.CLEAR)
        compressed = ("JPEG compressed so far makes such steps by itself: take the photo as it was "
                      "before, and if they are there too, "
                      if stepped > 0.2 and photo.block_step > NOTE_BLOCK_STEP else "")
        yield _finding(
            "Smooth gradients", photo, grade, stepped, 0.2, "% of the photo",
            f"{stepped:.1f} % of the photo runs in flat steps"
            + (f" of {photo.step_l_star:.1f} L*" if photo.stepped else "")
            + f"; {missing:.0f} % of the levels in its range are empty.",
            "own rule, no source: steps of 3 levels of 255 or more, about 1 L*, show as bands; "
            "up to 25 % of empty levels is what a correction leaves",
            photo.place_stepped,
            f"{compressed}{'work' if compressed else 'Work'} from a file with 16 bits a channel "
            "and correct it once; a little noise laid over the gradient hides what is left.")


def photo_ends_hold_detail(submission: Submission) -> Iterator[Finding]:
    """Clipped highlights and shadows."""
    for photo in submission.photos:
        for check, share, place, what, mend in (
            ("Clipped highlights", photo.blown, photo.place_blown, "white",
             "If there was detail, develop the photo again with less exposure; bare wood prints "
             "there."),
            ("Blocked shadows", photo.blocked, photo.place_blocked, "black",
             "If there was detail, develop the photo again with lighter shadows; a solid prints "
             "there."),
        ):
            grade = (Grade.CARE if share > 0.05 else Grade.NOTE if share > 0.01 else Grade.CLEAR)
            yield _finding(
                check, photo, grade, share * 100, 1, "% of the photo",
                f"{share * 100:.1f} % of the photo has run into {what} in all channels.",
                "own rule, no source", place, mend)


def noise_stays_below_the_halftone(submission: Submission) -> Iterator[Finding]:
    """Noise left at the size of a halftone cell, which prints as grit."""
    for photo in submission.photos:
        grade = (Grade.CARE if photo.cell_noise > 2 and photo.noise_is_fine
                 else Grade.NOTE if photo.cell_noise > 1 else Grade.CLEAR)
        yield _finding(
            "Noise in the halftone", photo, grade, photo.cell_noise, 1, "L* from cell to cell",
            f"Averaged over a halftone cell, the smoothest tenth of the photo still varies by "
            f"{photo.cell_noise:.2f} L* from cell to cell.",
            "own rule, no source: about one L* is the least difference seen side by side; a photo "
            "that is fine texture all over reads as noise",
            photo.place_noise,
            "Filter the noise lightly before the photo is reduced, or take a coarser ruling.")


def texture_is_unfiltered(submission: Submission) -> Iterator[Finding]:
    """Waxy texture: a noise filter took what is fine and left the edges."""
    for photo in submission.photos:
        grade = Grade.NOTE if photo.filter_marks > FILTER_MARKS.value else Grade.CLEAR
        yield _finding(
            "Filtered texture", photo, grade, photo.filter_marks, FILTER_MARKS.value,
            FILTER_MARKS.unit,
            "Smoothing the photo anew hardly changes its weak texture: a noise filter seems to "
            "have been there, and skin, grass or water may look like wax."
            if grade is Grade.NOTE else
            "The photo's weak texture shows no marks of a noise filter (which a third to a "
            "half of filtered photos bear).",
            FILTER_MARKS.source, photo.place_filtered,
            "Look at it at full size; take the photo as it was before the filter, or develop it "
            "again with less. Fine noise is averaged by the halftone anyway.")


def _finding(  # noqa: PLR0913 (what a finding is made of)
    check: str, photo: PhotoFacts, grade: Grade, value: float, limit: float, unit: str,
    says: str, source: str, place: Place | None, mend: str,
) -> Finding:
    clear = grade is Grade.CLEAR
    return Finding(
        check=check, subject=photo.file, grade=grade, says=says,
        measured=Figure(value=value, unit=unit), limit=Figure(value=limit, unit=unit),
        source=source, place=None if clear else place, mend="" if clear else mend)
