"""Moiré of an underbase's own dots: with its cloth, and with the inks that are printed on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from preflight.facts.moire_facts import SEEN_WHEN_LOOKED_FOR, MoireFacts
from preflight.job_file.job import Job
from separations.colour.colorimetry import lab_to_xyz
from separations.colour.job_inks import whole_model
from separations.measuring.moire.clear_settings import clear_pair_settings, clear_settings
from separations.measuring.moire.ink_pair_moire import pair_moire
from separations.measuring.moire.mesh_moire import TintInk, mesh_moire
from separations.runtime.by_value import ByValue


def underbase_moire(job: Job, above: Sequence[TintInk], keep: ByValue) -> tuple[MoireFacts, ...]:
    """The beats of the job's underbase, if it has one and its dots have a ruling.

    Parameters
    ----------
    job : Job
        Its inks and wood.
    above : sequence of TintInk
        The photograph's inks that have a ruling.
    keep : callable
        Calls a function of plain values, or gives what it gave before.

    Notes
    -----
    Where the underbase is halftoned, wood, white, an ink on wood and that ink on white lie side by
    side, and the beat is that of two inks whose overprint is the ink on white.
    """
    base = job.underbase
    if base is None or not job.halftone_of(base).is_periodic:
        return ()
    primaries = whole_model(job).primaries_lab
    bits = {ink.name: 1 << number for number, ink in enumerate(job.ink)}

    def light(primary: int) -> float:
        lightness, a, b = (float(v) for v in primaries[primary])
        return float(lab_to_xyz((lightness, a, b))[1])

    white = TintInk(name=base.name, spec=job.halftone_of(base), mesh=job.mesh_of(base),
                    wood_y=light(0), solid_y=light(bits[base.name]))
    alone: MoireFacts = keep(mesh_moire, white)
    if alone.times_threshold >= SEEN_WHEN_LOOKED_FOR:
        alone = replace(alone, mends=keep(clear_settings, white, tuple(above)))
    facts = [alone]
    for ink in above:
        on_wood = replace(ink, wood_y=light(0), solid_y=light(bits[ink.name]))
        both_y = light(bits[base.name] | bits[ink.name])
        pair: MoireFacts = keep(pair_moire, on_wood, white, both_y)
        if pair.times_threshold >= SEEN_WHEN_LOOKED_FOR:
            rest = tuple(other for other in above if other is not ink)
            pair = replace(pair, mends=keep(clear_pair_settings, on_wood, white, both_y, rest))
        facts.append(replace(pair, partner="underbase"))
    return tuple(facts)
