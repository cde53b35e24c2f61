"""What a photograph's planes hold, for the checks."""

from __future__ import annotations

import numpy as np

from preflight.facts.tone_facts import ToneFacts, densest_place, ink_facts, tone_sum_facts
from separations.planes.art_separation import ArtSeparation
from separations.planes.gamut import OUT_OF_REACH
from separations.planes.laid_out_job import LaidOutJob


def measure_tones(laid: LaidOutJob, separation: ArtSeparation) -> ToneFacts | None:
    """What the photograph's planes hold, for the checks; None without a photograph."""
    inks = laid.job.photo_inks
    if not separation.lattices:
        return None
    labs = separation.model.primaries_lab
    facts = tuple(
        ink_facts(plane, separation.inside, separation.grid, name=ink.name,
                  lightness=float(labs[1 << number][0]), ends=laid.job.tone_ends_of(ink),
                  are_kept=laid.job.separated_ends_of(ink) == laid.job.tone_ends_of(ink))
        for number, (ink, plane) in enumerate(zip(inks, separation.planes, strict=True)))
    greatest, where = tone_sum_facts(separation.planes, separation.inside, separation.grid)
    missed, clear = separation.missed_within(laid.area.printed), separation.see_through
    area = max(1, int(np.count_nonzero(separation.inside)))
    return ToneFacts(
        inks=facts, greatest_sum=greatest, place_of_sum=where,
        share_see_through=0.0 if clear is None else int(np.count_nonzero(clear)) / area,
        place_see_through=None if clear is None else densest_place(clear, separation.grid),
        share_out_of_reach=float(np.mean(missed > OUT_OF_REACH)),
        mean_missed_de00=float(missed.mean()))
