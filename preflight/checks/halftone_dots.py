"""What the mesh and the film can hold of the halftone: ruling, steps, smallest and largest dot."""

from __future__ import annotations

import math
from collections.abc import Iterator

from preflight.checks import limits
from preflight.facts.submission import Submission
from preflight.facts.tone_facts import InkFacts
from preflight.findings import Figure, Finding, Grade, Place, at_least, listed
from preflight.nouns import counted
from preflight.press.halftone_spec import SmallDots, dot_diameter_um, tone_of_dot
from preflight.units import MM_PER_INCH, UM_PER_CM

_ENDS_TOLD: dict[SmallDots, str] = {
    "drop": "they were brought to the nearest tone that prints, or dropped",
    "hold": "they were brought to the nearest tone that prints",
    "thin": "they print as fewer dots or holes, none smaller than the mesh holds",
}
#: Widths (µm) that are as good as equal: they are written in tenths.
_ROUNDING_UM = 0.05


def ruling_suits_the_mesh(submission: Submission) -> Iterator[Finding]:
    """Threads per line of the halftone."""
    asked, least, aim = (limits.THREADS_PER_LINE, limits.LEAST_THREADS_PER_LINE,
                         limits.THREADS_AIMED_AT.value)
    for ink in submission.job.photo_inks:
        if not submission.job.halftone_of(ink).is_periodic:
            continue
        mesh, ruling = submission.job.mesh_of(ink), submission.job.ruling_of(ink)
        ratio = mesh.threads_per_cm / ruling.lpcm
        grade = (Grade.STOP if ratio < least.value else
                 Grade.CARE if ratio < asked.value else Grade.CLEAR)
        limit = least if grade is Grade.STOP else asked
        yield Finding(
            id="mesh-for-ruling", check="Mesh for the ruling", subjects=(ink.name,), grade=grade,
            says=f"The mesh has {ratio:.2f} threads to each line of {ruling.written}.",
            measured=Figure(value=ratio, unit=asked.unit), limit=limit.least, source=limit.source,
            mend="" if grade is Grade.CLEAR else
            f"Use a ruling of {_lines(mesh.threads_per_cm / aim, ruling.written)} or coarser, or "
            f"a mesh of {math.ceil(ruling.lpcm * aim)} threads/cm or finer.")


def _lines(lpcm: float, like: str) -> str:
    """A ruling in the unit of another, rounded down to whole lines."""
    in_cm = "cm" in like
    return f"{math.floor(lpcm if in_cm else lpcm * MM_PER_INCH / 10)} {'l/cm' if in_cm else 'lpi'}"


def film_has_tone_steps(submission: Submission) -> Iterator[Finding]:
    """Film pixels in one halftone cell."""
    asked, least = limits.TONE_STEPS, limits.LEAST_TONE_STEPS
    for ink in submission.job.photo_inks:
        spec = submission.job.halftone_of(ink)
        if not spec.is_periodic:
            continue
        grade = (Grade.STOP if spec.tone_steps < least.value else
                 Grade.CARE if spec.tone_steps < asked.value else Grade.CLEAR)
        limit = least if grade is Grade.STOP else asked
        dpi = math.ceil(math.sqrt(asked.value) * spec.film_dpi / spec.cell_pixels)
        ruling = submission.job.ruling_of(ink)
        coarser = _lines(ruling.lpcm * spec.cell_pixels / math.sqrt(asked.value), ruling.written)
        yield Finding(
            id="tone-steps", check="Tone steps on the film", subjects=(ink.name,), grade=grade,
            says=f"A halftone cell is {spec.cell_pixels:.1f} film pixels wide, which gives "
                 f"{spec.tone_steps:.0f} tone steps.",
            measured=Figure(value=spec.tone_steps, unit=asked.unit),
            limit=limit.least, source=limit.source,
            mend="" if grade is Grade.CLEAR else
            f"Make films of {dpi} dpi or more, or use a ruling of {coarser} or coarser.")


def dots_are_held_by_the_mesh(submission: Submission) -> Iterator[Finding]:
    """The smallest and the largest dots that the job lets through, against the mesh."""
    for ink in submission.job.photo_inks:
        spec, mesh = submission.job.halftone_of(ink), submission.job.mesh_of(ink)
        if not spec.is_periodic:
            continue  # see `scattered_dots_outgrow_the_mesh`
        lines = spec.makes_lines
        held_um = mesh.finest_line_um if lines else mesh.smallest_dot_um
        least = (held_um * spec.ruling_lpcm / UM_PER_CM if lines
                 else tone_of_dot(held_um, spec.ruling_lpcm))
        for id_, what, key, tone, good in (
            ("smallest-dot", "dot", "smallest_tone", spec.smallest_tone, least),
            ("smallest-hole", "hole", "largest_tone", 1 - spec.largest_tone, 1 - least),
        ):
            dot_um = (tone * UM_PER_CM / spec.ruling_lpcm if lines
                      else dot_diameter_um(tone, spec.ruling_lpcm))
            lost = dot_um < held_um - _ROUNDING_UM
            yield Finding(
                id=id_, check=f"Smallest {what}", subjects=(ink.name,),
                grade=Grade.CARE if lost else Grade.CLEAR,
                says=f"The smallest {what} that the job allows is {dot_um:.0f} µm wide "
                     f"({tone * 100:.1f} % of a cell); the mesh holds {held_um:.0f} µm.",
                measured=Figure(value=dot_um, unit="µm"),
                limit=at_least(held_um, "µm"),
                source=(limits.FINEST_LINE if lines else limits.SMALLEST_DOT).source,
                mend=f"Set {key} = \"{good * 100:.1f} %\" or leave the key out." if lost else "")


def tone_ends_are_few(submission: Submission) -> Iterator[Finding]:
    """How much of the picture falls among dots that the mesh does not hold."""
    if submission.tones is None:
        return
    told = {ink.name: _ENDS_TOLD[submission.job.halftone_of(ink).small_dots]
            for ink in submission.job.photo_inks}
    limit = limits.TONE_ENDS
    for id_, title, ends in (
        ("highlights-lost", "Highlights below the smallest dot",
         [(facts.share_too_small * 100, facts, facts.place_too_small)
          for facts in submission.tones.inks]),
        ("shadows-lost", "Shadows above the largest dot",
         [(facts.share_too_large * 100, facts, facts.place_too_large)
          for facts in submission.tones.inks]),
    ):
        for what in dict.fromkeys(told.values()):
            mine = [end for end in ends if told[end[1].name] == what]
            if what == _ENDS_TOLD["thin"]:
                yield _ends(id_, title, mine, what, Grade.CLEAR)
                continue
            for much in (True, False):
                some = [end for end in mine if (end[0] > limit.value) is much]
                if some:
                    yield _ends(id_, title, some, what, Grade.NOTE if much else Grade.CLEAR)


def _ends(id_: str, title: str, ends: list[tuple[float, InkFacts, Place | None]], what: str,
          grade: Grade) -> Finding:
    limit = limits.TONE_ENDS
    worst, _, place = max(ends, key=lambda end: end[0])
    told = listed([f"{percent:.1f} %{'' if number else ' of the printed area'} in {facts.name}"
                   for number, (percent, facts, _) in enumerate(ends)])
    return Finding(
        id=id_, check=title, subjects=tuple(facts.name for _, facts, _ in ends), grade=grade,
        says=f"Such tones cover {told}; {what}.",
        measured=Figure(value=worst, unit="% of the area"),
        limit=limit.figure, source=limit.source,
        place=place if grade is Grade.NOTE else None,
        mend="Look at the place on the proof; lift or lower those tones in the photo, or use a "
             "coarser ruling or a finer mesh." if grade is Grade.NOTE else "")


def line_screens_stay_whole(submission: Submission) -> Iterator[Finding]:
    """Between which tones the lines of a line screen run unbroken, and how much lies beyond."""
    if submission.tones is None:
        return
    limit = limits.TONE_ENDS
    for facts in submission.tones.inks:
        ink = next(one for one in submission.job.photo_inks if one.name == facts.name)
        spec = submission.job.halftone_of(ink)
        if not spec.makes_lines or spec.small_dots != "thin":
            continue
        beyond = (facts.share_too_small + facts.share_too_large) * 100
        broken = beyond > limit.value
        yield Finding(
            id="lines-whole", check="Lines of a line screen", subjects=(ink.name,),
            grade=Grade.NOTE if broken else Grade.CLEAR,
            says=f"The lines of {ink.name} run whole from {spec.smallest_tone * 100:.0f} to "
                 f"{spec.largest_tone * 100:.0f} % film tone; lighter tones print as dashes, "
                 f"darker ones leave dashes open, on {beyond:.1f} % of the printed area.",
            measured=Figure(value=beyond, unit="% of the area"),
            limit=limit.figure, source=limit.source,
            place=(facts.place_too_small or facts.place_too_large) if broken else None,
            mend="Set small_dots = \"hold\" to keep the finest lines whole there, which changes "
                 "these tones; or use a coarser ruling or a finer mesh." if broken else "")


def tints_of_lines_stay_whole(submission: Submission) -> Iterator[Finding]:
    """Drawn tints of a line screen that print as dashes, or leave dashes open."""
    job = submission.job
    for ink in job.ink:
        spec, tints = job.halftone_of(ink), job.tints_of(ink)
        if not tints or not spec.makes_lines or spec.small_dots == "hold":
            continue
        broken = sorted({tint for tint in tints
                         if not spec.smallest_tone <= tint <= spec.largest_tone})
        which = broken or sorted(set(tints))
        told = listed([f"{tint * 100:g} %" for tint in which])
        tints_lie = "tints of {} lie" if len(which) > 1 else "tint of {} lies"
        yield Finding(
            id="tint-lines", check="Tints of a line screen", subjects=(ink.name,),
            grade=Grade.NOTE if broken else Grade.CLEAR,
            says=f"The lines of {ink.name} run whole from {spec.smallest_tone * 100:.0f} to "
                 f"{spec.largest_tone * 100:.0f} % film tone; "
                 f"its {tints_lie.format(told)} "
                 + ("beyond, where no line is whole." if broken else "within."),
            measured=Figure(value=min(tints) * 100, unit="% film tone"),
            limit=at_least(spec.smallest_tone * 100, "% film tone"),
            source=limits.FINEST_LINE.source,
            mend="Bring those tints within that range, or use a coarser ruling or a finer mesh."
            if broken else "")


def tone_curve_is_measured(submission: Submission) -> Iterator[Finding]:
    """Film tones print as this shop's own wedge says, or as a published line did elsewhere."""
    job, asked = submission.job, limits.CURVE_READINGS
    told: dict[str | tuple[tuple[float, float], ...], list[str]] = {}
    for ink in job.photo_inks:
        if ink.name in submission.profiled:
            continue
        told.setdefault(ink.tone_curve or job.halftone.tone_curve, []).append(ink.name)
    for curve, inks in told.items():
        readings = 0 if isinstance(curve, str) else len(curve)
        grade = Grade.CLEAR if readings >= asked.value else Grade.NOTE
        yield Finding(
            id="tone-curve", check="Tone curve", subjects=tuple(inks), grade=grade,
            says=f"The tone curve rests on {counted(readings, 'reading')}." if readings else
            f"The tone curve is the {curve} one, not measured on this press.",
            measured=Figure(value=readings, unit=asked.unit),
            limit=asked.least, source=asked.source,
            mend="" if grade is Grade.CLEAR else
            "Print the films that topsheet wedge makes, measure them, and let topsheet calibrate "
            "write a press profile.")
