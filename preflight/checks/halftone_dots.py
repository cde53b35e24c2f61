"""What the mesh and the film can hold of the halftone: ruling, steps, smallest and largest dot."""

from __future__ import annotations

from collections.abc import Iterator

from preflight.checks import limits
from preflight.facts.submission import Submission
from preflight.findings import Figure, Finding, Grade, at_least
from preflight.press.halftone_spec import SmallDots, dot_diameter_um, tone_of_dot
from preflight.units import UM_PER_CM

_ENDS_TOLD: dict[SmallDots, str] = {
    "drop": "they are brought to the nearest tone that prints",
    "hold": "they are brought to the nearest tone that prints",
    "thin": "they print as whole smallest dots or holes, fewer of them",
}


def ruling_suits_the_mesh(submission: Submission) -> Iterator[Finding]:
    """Threads per line of the halftone."""
    for ink in submission.job.photo_inks:
        if not submission.job.halftone_of(ink).is_periodic:
            continue
        mesh, ruling = submission.job.mesh_of(ink), submission.job.ruling_of(ink)
        ratio = mesh.threads_per_cm / ruling.lpcm
        grade = (Grade.STOP if ratio < limits.LEAST_THREADS_PER_LINE.value else
                 Grade.CARE if ratio < limits.THREADS_PER_LINE.value else Grade.CLEAR)
        yield Finding(
            check="Mesh for the ruling", subject=ink.name, grade=grade,
            says=f"{ratio:.2f} threads of the mesh carry each line of {ruling.written}.",
            measured=Figure(value=ratio, unit="threads per line"),
            limit=limits.THREADS_PER_LINE.least, source=limits.THREADS_PER_LINE.source,
            mend="" if grade is Grade.CLEAR else
            f"A ruling of {mesh.threads_per_cm / 3.75:.1f} l/cm "
            f"({mesh.threads_per_cm / 3.75 * 2.54:.0f} lpi) or coarser, or a mesh of "
            f"{ruling.lpcm * 3.75:.0f} threads/cm or finer, would do.")


def film_has_tone_steps(submission: Submission) -> Iterator[Finding]:
    """Film pixels in one halftone cell."""
    for ink in submission.job.photo_inks:
        spec = submission.job.halftone_of(ink)
        if not spec.is_periodic:
            continue
        grade = (Grade.STOP if spec.tone_steps < limits.LEAST_TONE_STEPS.value else
                 Grade.CARE if spec.tone_steps < limits.TONE_STEPS.value else Grade.CLEAR)
        yield Finding(
            check="Tone steps on the film", subject=ink.name, grade=grade,
            says=f"A halftone cell is {spec.cell_pixels:.1f} film pixels wide, which gives "
                 f"{spec.tone_steps:.0f} tone steps.",
            measured=Figure(value=spec.tone_steps, unit="steps"),
            limit=limits.TONE_STEPS.least, source=limits.TONE_STEPS.source,
            mend="" if grade is Grade.CLEAR else
            f"A film of {12.25 * spec.ruling_lpcm * 2.54:.0f} dpi or more would do.")


def dots_are_held_by_the_mesh(submission: Submission) -> Iterator[Finding]:
    """The smallest and the largest dots that the job lets through, against the mesh."""
    for ink in submission.job.photo_inks:
        spec, mesh = submission.job.halftone_of(ink), submission.job.mesh_of(ink)
        if not spec.is_periodic:
            yield _stochastic_dot(ink.name, spec.stochastic_dot_um, mesh.smallest_dot_um)
            continue
        lines = spec.makes_lines
        held_um = mesh.finest_line_um if lines else mesh.smallest_dot_um
        least = (held_um * spec.ruling_lpcm / UM_PER_CM if lines
                 else tone_of_dot(held_um, spec.ruling_lpcm))
        for title, tone in (("Smallest dot", spec.smallest_tone),
                            ("Smallest hole", 1 - spec.largest_tone)):
            dot_um = (tone * UM_PER_CM / spec.ruling_lpcm if lines
                      else dot_diameter_um(tone, spec.ruling_lpcm))
            lost = dot_um < held_um - 0.05
            key = "smallest_tone" if title == "Smallest dot" else "largest_tone"
            good = least if title == "Smallest dot" else 1 - least
            yield Finding(
                check=title, subject=ink.name, grade=Grade.CARE if lost else Grade.CLEAR,
                says=f"The {title.lower()} let through is {dot_um:.0f} µm wide "
                     f"({tone * 100:.1f} % of a cell); the mesh holds {held_um:.0f} µm.",
                measured=Figure(value=dot_um, unit="µm"),
                limit=at_least(held_um, "µm"),
                source=(limits.FINEST_LINE if lines else limits.SMALLEST_DOT).source,
                mend=f"Set {key} = \"{good * 100:.1f} %\" or leave the key out." if lost else "")


def _stochastic_dot(ink: str, dot_um: float, held_um: float) -> Finding:
    lost = dot_um < held_um - 0.05
    return Finding(
        check="Smallest dot", subject=ink, grade=Grade.CARE if lost else Grade.CLEAR,
        says=f"Stochastic dots, and the gaps between them, are {dot_um:.0f} µm wide; the mesh "
             f"holds {held_um:.0f} µm.",
        measured=Figure(value=dot_um, unit="µm"), limit=at_least(held_um, "µm"),
        source=limits.SMALLEST_DOT.source,
        mend=f"Set stochastic_dot = \"{1.5 * held_um:.0f} um\" or more, or leave the key out."
             if lost else "")


def tone_ends_are_few(submission: Submission) -> Iterator[Finding]:
    """How much of the picture falls among dots that the mesh does not hold."""
    if submission.tones is None:
        return
    told = {ink.name: _ENDS_TOLD[submission.job.halftone_of(ink).small_dots]
            for ink in submission.job.photo_inks}
    for facts in submission.tones.inks:
        thinned = told[facts.name] == _ENDS_TOLD["thin"]
        for title, share, place in (
            ("Highlights under the smallest dot", facts.share_too_small, facts.place_too_small),
            ("Shadows over the largest dot", facts.share_too_large, facts.place_too_large),
        ):
            much = share * 100 > limits.TONE_ENDS.value and not thinned
            yield Finding(
                check=title, subject=facts.name, grade=Grade.NOTE if much else Grade.CLEAR,
                says=f"{share * 100:.1f} % of the printed area asks for tones there; "
                     f"{told[facts.name]}.",
                measured=Figure(value=share * 100, unit="% of the area"),
                limit=limits.TONE_ENDS.figure, source=limits.TONE_ENDS.source,
                place=place if much else None,
                mend="Look at the place on the proof; lift or lower those tones in the photo, or "
                     "take a coarser ruling or a finer mesh." if much else "")


def tone_curve_is_measured(submission: Submission) -> Iterator[Finding]:
    """Film tones print as this shop's own wedge says, or as a published line did elsewhere."""
    job = submission.job
    told: dict[str | tuple[tuple[float, float], ...], list[str]] = {}
    for ink in job.photo_inks:
        if ink.name in submission.profiled:
            continue
        told.setdefault(ink.tone_curve or job.halftone.tone_curve, []).append(ink.name)
    for curve, inks in told.items():
        readings = 0 if isinstance(curve, str) else len(curve)
        grade = Grade.CLEAR if readings >= limits.CURVE_READINGS.value else Grade.NOTE
        yield Finding(
            check="Tone curve", subject=", ".join(inks), grade=grade,
            says=f"The tone curve rests on {_counted(readings)}." if readings else
            f"The tone curve is the {curve} one, not measured on this press.",
            measured=Figure(value=readings, unit="readings"),
            limit=limits.CURVE_READINGS.least, source=limits.CURVE_READINGS.source,
            mend="" if grade is Grade.CLEAR else
            "Print the films that topsheet wedge makes, measure them, and let topsheet calibrate "
            "write a press_profile.")


def _counted(readings: int) -> str:
    return "a single reading" if readings == 1 else f"{readings} readings"
