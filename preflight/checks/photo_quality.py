"""Is the photograph what its pixels promise: detail without blocks, bands, lost ends or grit?"""

from __future__ import annotations

from collections.abc import Iterator

from preflight.art.damage.block_borders import BLOCK_PX
from preflight.checks import limits
from preflight.checks.limit_row import Limit
from preflight.checks.placing_advice import size_for_pixels
from preflight.facts.submission import Submission
from preflight.findings import Figure, Finding, Grade, Place
from preflight.photo_quality.photo_facts import PhotoFacts
from preflight.units import MM_PER_INCH

#: True pixels are told within so much (times), as tests/published/test_true_resolution_corpus.py
#: finds of most photos.
_SURELY = 1.15
#: A camera's photo carries this share of its pixels at half contrast. Own rule, no source.
_OWN_SHARE = 0.7


def photo_has_true_pixels_enough(submission: Submission) -> Iterator[Finding]:
    """True pixels per inch, beside the nominal, against the finest ruling."""
    least, advised = limits.TRUE_PIXELS, limits.TRUE_PIXELS_ADVISED
    for photo in submission.photos:
        lpi = photo.cell_ruling_lpcm * MM_PER_INCH / 10
        if photo.true_fraction is None or photo.true_ppi is None:
            yield Finding(
                id="true-pixels", check="True pixels for the ruling", subjects=(photo.file,),
                grade=Grade.NOTE,
                says="The photo has too few pixels or too little detail to tell how sharp it is.",
                measured=Figure(value=photo.ppi / lpi, unit="px per line"), limit=least.least,
                source=least.source, mend="Look at it at full size.")
            continue
        per_line = photo.true_ppi / lpi
        # Clouds and soft colours have few true pixels by nature: what was sharp once is a stop.
        surely = 1.0 if photo.enlarged_by else _SURELY
        grade = (Grade.STOP if (photo.enlarged_by or photo.is_spread)
                 and per_line * surely < limits.TRUE_PIXELS_TO_WASTE.value
                 else Grade.CARE if per_line < least.value
                 else Grade.NOTE if per_line < advised.value else Grade.CLEAR)
        traces = (f" It shows traces of being enlarged {photo.enlarged_by:.2f} times."
                  if photo.enlarged_by else " Its edges were sharper once: it was enlarged or is "
                  "out of focus." if grade is Grade.STOP else "")
        limit = {Grade.STOP: limits.TRUE_PIXELS_TO_WASTE, Grade.CARE: least}.get(grade, advised)
        yield Finding(
            id="true-pixels", check="True pixels for the ruling", subjects=(photo.file,),
            grade=grade,
            says=f"The photo lies at {photo.ppi:.0f} ppi on the board; its detail is worth "
                 f"{photo.true_ppi:.0f} ppi, {per_line:.2f} true pixels for each line of the "
                 f"halftone.{traces}",
            measured=Figure(value=per_line, unit=least.unit), limit=limit.least,
            source=limit.source, place=photo.place_softest if grade is not Grade.CLEAR else None,
            mend="" if grade is Grade.CLEAR else
            "It is as sharp as its pixels let it be: it needs more of them, or a smaller print."
            if photo.true_fraction >= _OWN_SHARE and grade is not Grade.STOP else
            "A map in the report that topsheet run writes shows where. Use the file as it was "
            "before it was enlarged, reduced, filtered or sent, or a larger original; more pixels "
            "of the same detail do not help."
            + (_small_or_soft(submission, photo, per_line / advised.value)
               if grade is Grade.STOP else ""))


def _small_or_soft(submission: Submission, photo: PhotoFacts, times: float) -> str:
    """How large a photo may lie that has too little detail, and the way on if that is meant."""
    size = next((size_for_pixels(art, times) for art in submission.art
                 if art.table.file == photo.file and art.placed.ppi == photo.ppi), "")
    return (f" Its detail is enough for a smaller print on bare wood: {size}." if size else "") + (
        " If it is meant to be so soft, topsheet films --despite-stops makes the films.")


def jpeg_blocks_stay_hidden(submission: Submission) -> Iterator[Finding]:
    """Edges of JPEG blocks in smooth parts."""
    for photo in submission.photos:
        grade = (Grade.CARE if photo.block_step > limits.BLOCK_STEP_SEEN.value else
                 Grade.NOTE if photo.block_step > limits.BLOCK_STEP.value else Grade.CLEAR)
        yield _finding(
            ("jpeg-blocks", "JPEG blocks"), photo, grade, photo.block_step,
            limits.BLOCK_STEP_SEEN if grade is Grade.CARE else limits.BLOCK_STEP,
            f"Smooth parts step by {photo.block_step:.2f} L* at the edges of JPEG's blocks"
            + (f", which are {photo.block_px:.0f} pixels wide: the photo was enlarged after it was "
               "compressed." if photo.block_px > BLOCK_PX else "."),
            photo.place_blocks,
            "Use the photo as it was before this compression; save it as PNG or TIFF, or "
            "as JPEG of quality 92 or more.")


def gradients_are_smooth(submission: Submission) -> Iterator[Finding]:
    """Posterised skies, and levels that a picture has lost."""
    for photo in submission.photos:
        stepped, missing = photo.stepped * 100, photo.missing_levels * 100
        some, empty = stepped > limits.STEPPED.value, missing > limits.EMPTY_LEVELS.value
        grade = (Grade.CARE if stepped > limits.STEPPED_MUCH.value else
                 Grade.NOTE if some or empty else Grade.CLEAR)
        compressed = ("JPEG compression this strong makes such steps by itself: use the photo as "
                      "it was before, and if they are there too, "
                      if some and photo.block_step > limits.BLOCK_STEP.value else "")
        yield _finding(
            ("smooth-gradients", "Smooth gradients"), photo, grade,
            *((missing, limits.EMPTY_LEVELS) if empty and not some else
              (stepped, limits.STEPPED_MUCH if grade is Grade.CARE else limits.STEPPED)),
            f"{stepped:.1f} % of the photo runs in flat steps"
            + (f" of {photo.step_l_star:.1f} L*" if photo.stepped else "")
            + f"; {missing:.0f} % of the levels in its range are empty.",
            photo.place_stepped,
            f"{compressed}{'work' if compressed else 'Work'} from a file with 16 bits a channel "
            "and correct it once; a little noise laid over the gradient hides what is left.")


def photo_ends_hold_detail(submission: Submission) -> Iterator[Finding]:
    """Clipped highlights and shadows."""
    for photo in submission.photos:
        for named, share, place, what, mend in (
            (("clipped-highlights", "Clipped highlights"), photo.blown, photo.place_blown, "white",
             "If there was detail, develop the photo again with less exposure; bare wood prints "
             "there."),
            (("blocked-shadows", "Blocked shadows"), photo.blocked, photo.place_blocked, "black",
             "If there was detail, develop the photo again with lighter shadows; a solid prints "
             "there."),
        ):
            grade = (Grade.CARE if share * 100 > limits.CLIPPED_MUCH.value else
                     Grade.NOTE if share * 100 > limits.CLIPPED.value else Grade.CLEAR)
            yield _finding(
                named, photo, grade, share * 100,
                limits.CLIPPED_MUCH if grade is Grade.CARE else limits.CLIPPED,
                f"{share * 100:.1f} % of the photo has run into {what} in all channels.",
                place, mend)


def noise_stays_below_the_halftone(submission: Submission) -> Iterator[Finding]:
    """Noise left at the size of a halftone cell, which prints as grit."""
    for photo in submission.photos:
        much = photo.cell_noise > limits.CELL_NOISE_MUCH.value and photo.noise_is_fine
        grade = (Grade.CARE if much else Grade.NOTE
                 if photo.cell_noise > limits.CELL_NOISE.value else Grade.CLEAR)
        yield _finding(
            ("noise", "Noise in the halftone"), photo, grade, photo.cell_noise,
            limits.CELL_NOISE_MUCH if grade is Grade.CARE else limits.CELL_NOISE,
            f"Averaged over a halftone cell, the smoothest tenth of the photo still varies by "
            f"{photo.cell_noise:.2f} L* from cell to cell.",
            photo.place_noise,
            "Filter the noise lightly before the photo is reduced, or use a coarser ruling.")


def texture_is_unfiltered(submission: Submission) -> Iterator[Finding]:
    """Waxy texture: a noise filter took what is fine and left the edges."""
    for photo in submission.photos:
        marks = limits.FILTER_MARKS
        grade = Grade.NOTE if photo.filter_marks > marks.value else Grade.CLEAR
        yield _finding(
            ("filtered-texture", "Filtered texture"), photo, grade, photo.filter_marks, marks,
            "Smoothing the photo again hardly changes its faint texture: a noise filter seems to "
            "have been used, and skin, grass or water may look like wax."
            if grade is Grade.NOTE else
            "The photo's faint texture shows no marks of a noise filter (a third to a half of "
            "filtered photos show them).",
            photo.place_filtered,
            "Look at it at full size; use the photo as it was before the filter, or develop it "
            "again with less. Fine noise is averaged by the halftone anyway.")


def _finding(
    named: tuple[str, str], photo: PhotoFacts, grade: Grade, value: float, limit: Limit,
    says: str, place: Place | None, mend: str,
) -> Finding:
    clear = grade is Grade.CLEAR
    return Finding(
        id=named[0], check=named[1], subjects=(photo.file,), grade=grade, says=says,
        measured=Figure(value=value, unit=limit.unit), limit=limit.figure, source=limit.source,
        place=None if clear else place, mend="" if clear else mend)
