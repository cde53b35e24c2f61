"""Do mesh and film hold the drawings' lines and letters, and are the notes where they can be?"""

from __future__ import annotations

import math
from collections.abc import Iterator

from preflight.checks import limits
from preflight.facts.submission import DrawingFacts, LineFacts, Submission
from preflight.findings import Figure, Finding, Grade, at_least

#: Drawn mm² below which nothing is worth a word. Own rule, no source.
_SPECK_MM2 = 0.5
#: Least type (pt), bold or light strokes aside.
_LEAST_TYPE_PT = 5.0
_MESH_RULE = ("own rule on the mesh's finest line, 3 thread diameters (trade handbooks, from "
              "memory), and two film pixels")


def drawn_lines_are_held(submission: Submission) -> Iterator[Finding]:
    """Lines of drawings and letters, and gaps between them, are no finer than the mesh holds."""
    for drawing in submission.drawings:
        for check, mm2, place, what in (
            ("Finest lines", drawing.thin_mm2, drawing.place_thin, "lines"),
            ("Finest gaps", drawing.tight_mm2, drawing.place_tight, "gaps"),
        ):
            some = mm2 > _SPECK_MM2
            yield Finding(
                check=check, subject=drawing.subject, grade=Grade.CARE if some else Grade.CLEAR,
                says=f"{mm2:.1f} mm² of its {what} in {drawing.ink} are narrower than "
                     f"{drawing.finest_um:.0f} µm." if some else
                f"Its {what} in {drawing.ink} are {drawing.finest_um:.0f} µm wide or more.",
                measured=Figure(value=mm2, unit="mm²"), limit=Figure(value=_SPECK_MM2, unit="mm²"),
                source=_MESH_RULE, place=place if some else None,
                mend=f"Draw them {drawing.finest_um:.0f} µm wide or more, or take a finer mesh."
                if some else "")


def drawings_keep_the_safety_margin(submission: Submission) -> Iterator[Finding]:
    """Drawings and notes stay inside the safe area; beyond it the cut may take them."""
    for drawing in submission.drawings:
        if drawing.wholly_off:
            yield wholly_off_the_board(drawing.subject)
            continue
        if drawing.kind == "flat":
            continue
        limit = limits.NOTE_BEYOND_SAFE if drawing.kind == "note" else limits.BEYOND_SAFE
        beyond = drawing.mm2_beyond_safe > limit.value
        yield Finding(
            check="Safety margin", subject=drawing.subject,
            grade=Grade.CARE if beyond else Grade.CLEAR,
            says=f"{drawing.mm2_beyond_safe:.1f} mm² of the {drawing.kind} lie in the safety "
                 "margin or beyond, where trimming or register may cut them." if beyond else
            f"The whole {drawing.kind} lies inside the safety margin.",
            measured=Figure(value=drawing.mm2_beyond_safe, unit="mm²"),
            limit=limit.figure, source=limit.source,
            place=drawing.place_beyond_safe if beyond else None,
            mend="Move it inwards, unless it is meant to run off the edge." if beyond else "")


def wholly_off_the_board(subject: str) -> Finding:
    """The finding for what lies where nothing prints."""
    return nothing_prints(
        subject, "it lies wholly off the board's printed area.",
        "Place it on the board, looking to signs and units of its place and offsets "
        "(along: + towards the nose; across: + to the left), or take it out of the job.")


def nothing_prints(subject: str, why: str, mend: str) -> Finding:
    """The finding for what does not print at all."""
    return Finding(
        check="Lies on the board", subject=subject, grade=Grade.STOP,
        says=f"None of it prints: {why}", measured=Figure(value=0, unit="% of it printed"),
        limit=Figure(value=0, unit="% of it printed"), source="geometry of this job", mend=mend)


def notes_can_be_read(submission: Submission) -> Iterator[Finding]:
    """Notes and names are large enough to print, and no note lies in another's way."""
    for note in submission.drawings:
        if not note.type_pt:  # neither a note nor a line with a name
            continue
        small = note.type_pt < _LEAST_TYPE_PT
        yield Finding(
            check="Size of type", subject=note.subject, grade=Grade.CARE if small else Grade.CLEAR,
            says=f"It is set in type of {note.type_pt:.1f} pt.",
            measured=Figure(value=note.type_pt, unit="pt"),
            limit=at_least(_LEAST_TYPE_PT, "pt"),
            source="screen printing guidelines: 5 pt bold (references: minimum type)",
            mend=(f"Give it {_LEAST_TYPE_PT:g} pt or more: a cap_height or type_size "
                  f"{math.ceil(10 * _LEAST_TYPE_PT / note.type_pt) / 10:g} times as large."
                  if small else ""))
        if note.kind != "note":
            continue
        yield Finding(
            check="Notes keep apart", subject=note.subject,
            grade=Grade.CARE if note.meets else Grade.CLEAR,
            says="It touches " + ", ".join(f"'{other}'" for other in note.meets) + "."
            if note.meets else "It touches no later note.",
            measured=Figure(value=float(len(note.meets)), unit="notes touched"),
            limit=Figure(value=0, unit="notes touched"), source="geometry of this job",
            mend="Move one of the two." if note.meets else "")


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
            check="Drawings stand out", subject=subject,
            grade=Grade.CARE if faint else Grade.CLEAR,
            says=f"A tenth of its {part} in {drawing.ink} or more differs from the ground by "
                 f"{drawing.stands_out:.1f} L* or less (there L* {drawing.ink_lightness:.0f} on "
                 f"{drawing.ground_lightness:.0f}), where it is hard to see." if faint else
            f"In {drawing.ink} it differs from the ground by {drawing.stands_out:.0f} L* or more "
            f"over all but a tenth of its {part}.",
            measured=Figure(value=drawing.stands_out, unit="L*"),
            limit=at_least(limits.STANDS_OUT.value, limits.STANDS_OUT.unit),
            source=limits.STANDS_OUT.source,
            place=drawing.place_faint if faint else None,
            mend="Give it another ink (white on a dark ground, a dark one on a light ground), "
                 "move it to where the photo is lighter or darker, or lay a flat colour beneath "
                 "it." if faint else "")
