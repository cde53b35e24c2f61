"""Do halftones beat with the mesh, each other, the underbase or the photograph?"""

from __future__ import annotations

import math
from collections.abc import Iterator

from preflight.checks import limits
from preflight.checks.angles import angle_clears_the_mesh, angles_clear_each_other
from preflight.facts.moire_facts import MoireFacts, Partner
from preflight.facts.submission import Submission
from preflight.findings import Figure, Finding, Grade, listed

_ELSE: dict[Partner, str] = {
    "mesh": "Use a finer mesh or another ruling, or turn the mesh.",
    "ink": "Turn one of the inks, or give it another ruling.",
    "underbase": "Turn the underbase, or give it another ruling or stochastic dots.",
    "photograph": "Soften the pattern there a little, or give that ink another ruling or angle."}
_CHECKS: dict[Partner, tuple[str, str]] = {
    "mesh": ("mesh-moire", "Moiré with the mesh"),
    "ink": ("ink-moire", "Moiré between inks"),
    "underbase": ("underbase-moire", "Moiré with the underbase"),
    "photograph": ("photo-moire", "Moiré with the photo's own patterns")}


def mesh_does_not_beat(submission: Submission) -> Iterator[Finding]:
    """No ink's halftone beats visibly with its own mesh."""
    return _of(submission, "mesh")


def inks_do_not_beat(submission: Submission) -> Iterator[Finding]:
    """No two inks' halftones beat visibly with each other."""
    return _of(submission, "ink")


def underbase_does_not_beat(submission: Submission) -> Iterator[Finding]:
    """No ink's halftone beats visibly with the underbase's beneath it."""
    return _of(submission, "underbase")


def photo_does_not_beat(submission: Submission) -> Iterator[Finding]:
    """No fine pattern of the photograph beats visibly with an ink's halftone."""
    return _of(submission, "photograph")


def scattered_dots_outgrow_the_mesh(submission: Submission) -> Iterator[Finding]:
    """Stochastic dots are not so small that the threads decide which of them print."""
    job, limit = submission.job, limits.SCATTERED_DOT
    for ink in job.photo_inks:
        spec, mesh = job.halftone_of(ink), job.mesh_of(ink)
        if spec.is_periodic:
            continue
        pitches = spec.stochastic_dot_um / mesh.pitch_um
        small = pitches < limit.value
        yield Finding(
            id="stochastic-dots", check="Stochastic dots on the mesh", subjects=(ink.name,),
            grade=Grade.CARE if small else Grade.CLEAR,
            says=f"Its stochastic dots, and the gaps between them, are "
                 f"{spec.stochastic_dot_um:.0f} µm wide: {pitches:.1f} pitches of the mesh"
                 f"{', so the weave decides which of them print' if small else ''}.",
            measured=Figure(value=pitches, unit=limit.unit), limit=limit.least,
            source=limit.source,
            mend=f"Set stochastic_dot = \"{math.ceil(limit.value * mesh.pitch_um)} µm\" or more, "
                 "or use a finer mesh." if small else "")


def _of(submission: Submission, partner: Partner) -> Iterator[Finding]:
    """One finding a grade, the strongest moiré in full; each place of the photo by itself."""
    askew = _askew(submission)
    mine = [facts for facts in submission.moire if facts.partner == partner]
    for grade in Grade:
        some = sorted((facts for facts in mine if _moire_grade(facts) is grade),
                      key=lambda facts: -facts.times_threshold)
        for group in ([[one] for one in some] if partner == "photograph" else [some]):
            if group:
                yield _finding(group, partner, grade, askew)


def _askew(submission: Submission) -> frozenset[str]:
    """The inks whose angles need care by themselves: what moiré they make comes of that."""
    return frozenset(name for check in (angle_clears_the_mesh, angles_clear_each_other)
                     for finding in check(submission) if finding.grade is Grade.CARE
                     for name in finding.subjects)


def _moire_grade(facts: MoireFacts) -> Grade:
    times = facts.times_threshold
    return (Grade.CARE if times >= limits.MOIRE_PLAIN.value else
            Grade.NOTE if times >= limits.MOIRE_FAINT.value else Grade.CLEAR)


def _finding(group: list[MoireFacts], partner: Partner, grade: Grade,
             askew: frozenset[str]) -> Finding:
    worst, rest = group[0], group[1:]
    id_, check = _CHECKS[partner]
    limit = limits.MOIRE_PLAIN if grade is Grade.CARE else limits.MOIRE_FAINT
    says = _told(worst, grade, named=bool(rest))
    if rest and grade is not Grade.CLEAR:
        says += f" Weaker: {listed([_briefly(facts) for facts in rest])}."
    return Finding(
        id=id_, check=check, grade=grade, says=says,
        subjects=tuple(dict.fromkeys(name for facts in group for name in facts.inks)),
        subject="" if rest else _named(worst),
        measured=Figure(value=worst.times_threshold, unit=limit.unit), limit=limit.figure,
        source=limit.source, place=worst.place,
        mend="" if grade is Grade.CLEAR else _mend(group, partner, askew))


def _named(facts: MoireFacts) -> str:
    return (" on " if facts.partner == "underbase" else " and ").join(facts.inks)


def _briefly(facts: MoireFacts) -> str:
    return f"{_named(facts)}, {facts.period_mm:.1f} mm"


def _told(facts: MoireFacts, grade: Grade, *, named: bool) -> str:
    if facts.contrast == 0.0:
        return "No moiré coarser than the dots was found."
    order = f" ({facts.order})" if facts.order else ""
    wave = (f"bands {facts.period_mm:.1f} mm apart, at {(facts.direction_deg + 90) % 180:.0f}° "
            f"to the board's length{order}")
    whose = f" of {_named(facts)}" if named else ""
    strength = (f"contrast is {facts.contrast * 100:.1f} % at a film tone of "
                f"{facts.tone * 100:.0f} %")
    if grade is Grade.CLEAR:
        return f"The strongest{whose}, {wave}, is hidden by the dots; its {strength}."
    what = "Moiré" if grade is Grade.CARE else "Faint moiré"
    seen = "will be seen" if grade is Grade.CARE else "can be seen"
    where = ("in one place" if facts.partner == "photograph" else
             f"in flat tints of {listed([f'{t * 100:.0f}' for t in facts.tones_seen])} %"
             if facts.tones_seen else "in flat tints")
    return f"{what}{whose} {seen} {where}: {wave}. Its {strength}."


def _mend(group: list[MoireFacts], partner: Partner, askew: frozenset[str]) -> str:
    amiss = [name for name in dict.fromkeys(name for facts in group for name in facts.inks)
             if name in askew]
    if amiss and partner not in ("photograph", "underbase"):  # there other things help
        return (f"Mend the {'angles' if len(amiss) > 1 else 'angle'} of {listed(amiss)} first, as "
                "the checks of angles say; then check again.")
    clear = [" or ".join(s.told for s in facts.mends) for facts in group if facts.mends]
    if not clear:
        return _ELSE[partner]
    return f"Clear in simulation: {'; '.join(clear)}."
