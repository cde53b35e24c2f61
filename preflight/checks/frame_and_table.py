"""Off-contact, stroke and squeegee: does the frame print the board as it lies?"""

from __future__ import annotations

from collections.abc import Iterator

from preflight.basis import Basis, Source
from preflight.checks import limits
from preflight.facts.register_budget import mesh_stretch_mm, off_contact_shift_mm
from preflight.facts.submission import Submission
from preflight.findings import Figure, Finding, Grade, at_least


def off_contact_suits_the_frame(submission: Submission) -> Iterator[Finding]:
    """The gap against common practice, and what it stretches the mesh by over the span."""
    job = submission.job
    gap = job.frame.off_contact
    least, most = limits.OFF_CONTACT_LEAST, limits.OFF_CONTACT_MOST
    low, high = gap.mm < least.value, gap.mm > most.value
    grade = (Grade.CARE if gap.mm > limits.OFF_CONTACT_EVER.value else
             Grade.NOTE if low or high else Grade.CLEAR)
    limit = least if low else limits.OFF_CONTACT_EVER if grade is Grade.CARE else most
    yield Finding(
        id="off-contact", check="Off-contact", subject="screen frame", grade=grade,
        says=f"The mesh stands {gap.written} off the board; {least.value:.1f} to "
             f"{most.value:.1f} mm is usual.",
        measured=Figure(value=gap.mm, unit="mm"), limit=limit.least if low else limit.figure,
        source=limit.source,
        mend="" if grade is Grade.CLEAR else
        f"Set off_contact to {least.value:.1f} mm or more: the mesh must come off the wet print "
        "behind the squeegee." if low else
        f"Set off_contact to {most.value:.1f} mm or less: a wide gap lengthens the print and wears "
        "the mesh.")
    span = job.frame.inside_length.mm
    least_x, _, greatest_x, _ = submission.area.image_bounds
    image = greatest_x - least_x
    if image >= span:
        return
    shift = off_contact_shift_mm(span, gap.mm, (span - image) / 2)
    limit = limits.OFF_CONTACT_STRETCH
    much = shift > limit.value
    yield Finding(
        id="off-contact-stretch", check="Stretch by off-contact", subject="screen frame",
        grade=Grade.CARE if much else Grade.CLEAR,
        says=f"Pressed down {gap.written} the mesh lengthens by "
             f"{mesh_stretch_mm(span, gap.mm) * 1000:.0f} µm over {span:.0f} mm, and prints the "
             f"ends of the image {shift * 1000:.0f} µm further out: all inks alike, if every "
             "screen has the same gap.",
        measured=Figure(value=shift, unit="mm"), limit=limit.figure, source=limit.source,
        mend="Use a smaller gap or a longer frame, and the same gap for all screens."
        if much else "")


def stroke_follows_the_board(submission: Submission) -> Iterator[Finding]:
    """A blade lies on a pressed board only when it lies across it."""
    job = submission.job
    if job.stage != "board":
        return
    across = job.frame.stroke == "across"
    yield Finding(
        id="stroke-over-curve", check="Stroke over the curved board", subject="squeegee",
        grade=Grade.CARE if across else Grade.CLEAR,
        says="The stroke runs across the board: the straight blade lies along its camber and "
             "bridges it, so the middle or the ends print faintly." if across else
        "The stroke runs along the board: the blade lies straight across it and follows its "
        "curve.",
        measured=Figure(value=90.0 if across else 0.0, unit="° to the length"),
        limit=Figure(value=0.0, unit="° to the length"),
        source=Source(basis=Basis.OWN,
                      told="a pressed board is curved along its length and straight across"),
        mend="Set stroke = \"along\" in [frame], or press the board flat on its table."
        if across else "")


def squeegee_spans_the_image(submission: Submission) -> Iterator[Finding]:
    """The blade reaches past the image at both ends, and stays clear of the frame."""
    job, frame = submission.job, submission.job.frame
    least_x, least_y, greatest_x, greatest_y = submission.area.image_bounds
    along = frame.stroke == "along"
    image = greatest_y - least_y if along else greatest_x - least_x
    inside = frame.inside_width if along else frame.inside_length
    least = image + 2 * limits.SQUEEGEE_BESIDE.value
    most = inside.mm - 2 * limits.SQUEEGEE_TO_FRAME.value
    if job.frame.squeegee is None:
        wrong = most < least
        yield Finding(
            id="squeegee", check="Squeegee", subject="squeegee",
            grade=Grade.CARE if wrong else Grade.CLEAR,
            says=f"The image needs a blade of {least:.0f} mm or more; the frame has room for one "
                 f"of {max(most, 0):.0f} mm.",
            measured=Figure(value=least, unit="mm"), limit=Figure(value=max(most, 0), unit="mm"),
            source=limits.SQUEEGEE_BESIDE.source.beside(limits.SQUEEGEE_TO_FRAME.source),
            mend=f"Use a frame of {least + 2 * limits.SQUEEGEE_TO_FRAME.value:.0f} mm or more "
                 "inside." if wrong else "")
        return
    blade = job.frame.squeegee
    short, long = blade.mm < least, blade.mm > most
    limit = (Figure(value=max(most, 0), unit="mm") if long and not short
             else at_least(least, "mm"))
    yield Finding(
        id="squeegee", check="Squeegee", subject="squeegee",
        grade=Grade.CARE if short or long else Grade.CLEAR,
        says=f"The blade is {blade.written}; the image needs {least:.0f} mm or more and the frame "
             f"has room for {max(most, 0):.0f} mm.",
        measured=Figure(value=blade.mm, unit="mm"), limit=limit,
        source=(limits.SQUEEGEE_TO_FRAME if long and not short
                else limits.SQUEEGEE_BESIDE).source,
        mend="" if not (short or long) else
        f"Use a blade of {least:.0f} to {most:.0f} mm." if most >= least else
        f"Use a frame of {least + 2 * limits.SQUEEGEE_TO_FRAME.value:.0f} mm or more inside, and "
        f"a blade of {least:.0f} mm.")
