"""Do mesh and film hold the drawings' lines and letters, and are the notes where they can be?"""

from __future__ import annotations

from collections.abc import Iterator

from preflight.findings import Figure, Finding, Grade, at_least
from preflight.submission import Submission

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
        if drawing.kind == "flat":
            continue
        limit = 0.01 if drawing.kind == "note" else 2.0
        beyond = drawing.mm2_beyond_safe > limit
        yield Finding(
            check="Safety margin", subject=drawing.subject,
            grade=Grade.CARE if beyond else Grade.CLEAR,
            says=f"{drawing.mm2_beyond_safe:.1f} mm² of the {drawing.kind} lie in the safety "
                 "margin or beyond, where trimming or register may cut them." if beyond else
            f"The whole {drawing.kind} lies inside the safety margin.",
            measured=Figure(value=drawing.mm2_beyond_safe, unit="mm²"),
            limit=Figure(value=limit, unit="mm²"), source="the job's [area] table",
            place=drawing.place_beyond_safe if beyond else None,
            mend="Move it inwards, unless it is meant to run off the edge." if beyond else "")


def notes_can_be_read(submission: Submission) -> Iterator[Finding]:
    """Notes are large enough to print, and none lies in another's way."""
    for note in submission.drawings:
        if note.kind != "note":
            continue
        small = note.type_pt < _LEAST_TYPE_PT
        yield Finding(
            check="Size of type", subject=note.subject, grade=Grade.CARE if small else Grade.CLEAR,
            says=f"It is set in type of {note.type_pt:.1f} pt.",
            measured=Figure(value=note.type_pt, unit="pt"),
            limit=at_least(_LEAST_TYPE_PT, "pt"),
            source="screen printing guidelines: 5 pt bold (references: minimum type)",
            mend="Give it a larger cap_height or type_size." if small else "")
        yield Finding(
            check="Notes keep apart", subject=note.subject,
            grade=Grade.CARE if note.meets else Grade.CLEAR,
            says="It touches " + ", ".join(f"'{other}'" for other in note.meets) + "."
            if note.meets else "It touches no later note.",
            measured=Figure(value=float(len(note.meets)), unit="notes touched"),
            limit=Figure(value=0, unit="notes touched"), source="geometry of this job",
            mend="Move one of the two." if note.meets else "")
