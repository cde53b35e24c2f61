"""Moiré of a job's flat tints: each ink with its mesh, inks with each other, three at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from preflight.board.topsheet_area import TopsheetArea
from preflight.facts.moire_facts import SEEN_WHEN_LOOKED_FOR, MoireFacts, RosetteFacts
from preflight.job_file.job import Job
from separations.colour.colorimetry import lab_to_xyz
from separations.colour.print_model import PrintModel
from separations.measuring.moire.clear_settings import clear_pair_settings, clear_settings
from separations.measuring.moire.ink_pair_moire import pair_moire
from separations.measuring.moire.mesh_moire import TintInk, mesh_moire
from separations.measuring.moire.printed_patch import forget_patches
from separations.measuring.moire.rosette_drift import rosettes
from separations.runtime.by_value import ByValue


def tint_inks(job: Job, model: PrintModel) -> tuple[tuple[int, TintInk], ...]:
    """The photograph's inks that have a ruling, each with its number among all of them.

    Parameters
    ----------
    job : Job
        Its halftones and meshes.
    model : PrintModel
        The photograph's inks.
    """
    return tuple(
        (number, TintInk(name=ink.name, spec=job.halftone_of(ink), mesh=job.mesh_of(ink),
                         wood_y=_luminance(model, 0), solid_y=_luminance(model, 1 << number)))
        for number, ink in enumerate(job.photo_inks) if job.halftone_of(ink).is_periodic)


def tint_moire(numbered: Sequence[tuple[int, TintInk]], model: PrintModel,
               keep: ByValue) -> tuple[MoireFacts, ...]:
    """Simulate the photograph's halftones on their cloth and on each other.

    Parameters
    ----------
    numbered : sequence of (int, TintInk)
        From `tint_inks`.
    model : PrintModel
        The photograph's inks.
    keep : callable
        Calls a function of plain values, or gives what it gave before.

    Returns
    -------
    tuple of MoireFacts
        One for each halftone with its mesh, and for each pair of halftones. Scattered dots have
        none.
    """
    inks = [ink for _, ink in numbered]
    facts = [_with_mends(keep(mesh_moire, ink), ink, inks, keep) for ink in inks]
    facts += [_pair(numbered[a], numbered[b], model, inks, keep)
              for b in range(len(numbered)) for a in range(b)]
    forget_patches()
    return tuple(facts)


def job_rosettes(numbered: Sequence[tuple[int, TintInk]], model: PrintModel, area: TopsheetArea,
                 placement_mm: float) -> tuple[RosetteFacts, ...]:
    """How the rosettes of three inks drift over the board, its films laid so exactly."""
    least_x, _, greatest_x, _ = area.image_bounds
    return rosettes(numbered, model, length_mm=greatest_x - least_x, placement_mm=placement_mm)


def _with_mends(facts: MoireFacts, ink: TintInk, inks: Sequence[TintInk],
                keep: ByValue) -> MoireFacts:
    if facts.times_threshold < SEEN_WHEN_LOOKED_FOR:
        return facts
    return replace(facts, mends=keep(clear_settings, ink, tuple(o for o in inks if o is not ink)))


def _pair(one: tuple[int, TintInk], other: tuple[int, TintInk], model: PrintModel,
          inks: Sequence[TintInk], keep: ByValue) -> MoireFacts:
    both_y = _luminance(model, 1 << one[0] | 1 << other[0])
    facts: MoireFacts = keep(pair_moire, one[1], other[1], both_y)
    if facts.times_threshold < SEEN_WHEN_LOOKED_FOR:
        return facts
    rest = tuple(o for o in inks if o is not one[1] and o is not other[1])
    return replace(facts, mends=keep(clear_pair_settings, one[1], other[1], both_y, rest))


def _luminance(model: PrintModel, primary: int) -> float:
    """Luminous reflectance (1 = white) of an overprint of solids."""
    light, a, b = (float(v) for v in model.primaries_lab[primary])
    return float(lab_to_xyz((light, a, b))[1])
