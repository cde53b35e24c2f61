"""Do mesh and film hold the drawings' lines and letters, and can the notes be read?"""

from __future__ import annotations

import math
from collections.abc import Iterator

from preflight.basis import given
from preflight.checks import limits
from preflight.facts.submission import DrawingFacts, LineFacts, Submission
from preflight.findings import Figure, Finding, Grade, listed


def drawn_lines_are_held(submission: Submission) -> Iterator[Finding]:
    """Lines of drawings and letters, and gaps between them, are no finer than the mesh holds."""
    for drawing in submission.drawings:
        for id_, check, mm2, place, what in (
            ("finest-lines", "Finest lines", drawing.thin_mm2, drawing.place_thin, "lines"),
            ("finest-gaps", "Finest gaps", drawing.tight_mm2, drawing.place_tight, "gaps"),
        ):
            some = mm2 > limits.THIN_AREA.value
            yield Finding(
                id=id_, check=check, subjects=(drawing.subject, drawing.ink),
                subject=drawing.subject,
                grade=Grade.CARE if some else Grade.CLEAR,
                says=f"{mm2:.1f} mm² of its {what} in {drawing.ink} are narrower than "
                     f"{drawing.finest_um:.0f} µm." if some else
                f"Its {what} in {drawing.ink} are {drawing.finest_um:.0f} µm wide or more.",
                measured=Figure(value=mm2, unit="mm²"), limit=limits.THIN_AREA.figure,
                source=limits.THIN_AREA.source.beside(limits.FINEST_LINE.source),
                place=place if some else None,
                mend=f"Draw them {drawing.finest_um:.0f} µm wide or more, or use a finer mesh."
                if some else "")


def notes_can_be_read(submission: Submission) -> Iterator[Finding]:
    """Notes and names are large enough to print, and no note lies in another's way."""
    for note in submission.drawings:
        if not note.type_pt:  # neither a note nor a line with a name
            continue
        least = limits.LEAST_TYPE
        small = round(note.type_pt, 3) < least.value  # a size in mm is seldom a whole pt
        yield Finding(
            id="type-size", check="Size of type", subjects=(note.subject,),
            grade=Grade.CARE if small else Grade.CLEAR,
            says=f"Set in type of {note.type_pt:.1f} pt.",
            measured=Figure(value=note.type_pt, unit="pt"),
            limit=least.least, source=least.source,
            mend=(f"Give it {least.value:g} pt or more: a cap_height or type_size "
                  f"{math.ceil(10 * least.value / note.type_pt) / 10:g} times as large."
                  if small else ""))
        if note.kind != "note":
            continue
        yield Finding(
            id="notes-apart", check="Room between notes", subjects=(note.subject, *note.meets),
            subject=note.subject,
            grade=Grade.CARE if note.meets else Grade.CLEAR,
            says="It touches " + listed([f"'{other}'" for other in note.meets]) + "."
            if note.meets else "No note listed after it touches it.",
            measured=Figure(value=float(len(note.meets)), unit="notes touched"),
            limit=Figure(value=0, unit="notes touched"), source=given("where the job places them"),
            mend="Move it, or what it touches." if note.meets else "")


def drawings_stand_out(submission: Submission) -> Iterator[Finding]:
    """Drawings and notes are lighter or darker than what is printed around them."""
    told: tuple[LineFacts | DrawingFacts, ...] = (*submission.lines, *submission.drawings)
    for drawing in told:
        if drawing.stands_out is None:
            continue
        subject, part = ((drawing.file, "area") if isinstance(drawing, LineFacts)
                         else (drawing.subject, "outline"))
        faint = drawing.stands_out < limits.STANDS_OUT.value
        yield Finding(
            id="drawings-stand-out", check="Contrast with the ground",
            subjects=(subject, drawing.ink), subject=subject,
            grade=Grade.CARE if faint else Grade.CLEAR,
            says=f"Over a tenth or more of its {part} in {drawing.ink} it differs from the ground "
                 f"by {drawing.stands_out:.1f} L* or less (L* {drawing.ink_lightness:.0f} on "
                 f"{drawing.ground_lightness:.0f}): there it is hard to see." if faint else
            f"In {drawing.ink} it differs from the ground by {drawing.stands_out:.0f} L* or more "
            f"over all but a tenth of its {part}.",
            measured=Figure(value=drawing.stands_out, unit="L*"),
            limit=limits.STANDS_OUT.least, source=limits.STANDS_OUT.source,
            place=drawing.place_faint if faint else None,
            mend="Give it another ink (white on a dark ground, a dark one on a light ground), "
                 "move it to where the photo is lighter or darker, or lay a flat colour beneath "
                 "it." if faint else "")
