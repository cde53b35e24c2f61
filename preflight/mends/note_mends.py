"""Notes set so small that they cannot be read, or that the mesh does not hold them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from preflight.checks import limits
from preflight.checks.drawn_lines import notes_can_be_read
from preflight.checks.hold_on_mesh import lettering_is_held
from preflight.facts.submission import Submission
from preflight.findings import Grade
from preflight.job_file.job_tables import NoteTable
from preflight.mends.mend import Mend
from preflight.units import POINTS_PER_MM
from preflight.vector_art.notes import CAP_HEIGHT_MM


def note_mends(submission: Submission) -> Iterator[Mend]:
    """Larger letters, by as much as the type size or the mesh asks."""
    job = submission.job
    small = {f.subjects[0]: f for f in notes_can_be_read(submission)
             if f.id == "type-size" and f.grade is not Grade.CLEAR}
    held = {f.subjects[0]: f for f in lettering_is_held(submission) if f.grade is not Grade.CLEAR}
    larger = {d.subject: limits.LEAST_TYPE.value / d.type_pt for d in submission.drawings
              if d.subject in small}
    for lettering in submission.hold.lettering if submission.hold else ():
        if lettering.subject in held and lettering.kind == "note" and lettering.holds_from:
            larger[lettering.subject] = max(larger.get(lettering.subject, 1.0),
                                            lettering.holds_from)
    for number, note in enumerate(job.note):
        times = larger.get(note.text)
        if times is not None:
            why = small.get(note.text) or held[note.text]
            yield _enlarged(number, note, times, why.says)


def _enlarged(number: int, note: NoteTable, times: float, why: str) -> Mend:
    if note.type_size is not None:
        points = math.ceil(note.type_size.mm * POINTS_PER_MM * times * 10) / 10
        return Mend(key_path=("note", number, "type_size"), before=note.type_size.written,
                    after=f"{points:g} pt", why=why)
    capital = note.cap_height
    mm = math.ceil((CAP_HEIGHT_MM if capital is None else capital.mm) * times * 10) / 10
    return Mend(key_path=("note", number, "cap_height"),
                before=None if capital is None else capital.written, after=f"{mm:g} mm", why=why)
