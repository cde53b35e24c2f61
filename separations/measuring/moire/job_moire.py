"""All moiré of a job: each ink with its mesh, inks with each other, the photograph with inks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from preflight.art.artwork_pixels import load_pixels
from preflight.art.kept_pixels import LoadPixels
from preflight.facts.moire_facts import SEEN_WHEN_LOOKED_FOR, MoireFacts, RosetteFacts
from separations.colour.colorimetry import lab_to_xyz
from separations.colour.print_model import PrintModel
from separations.measuring.moire.clear_settings import clear_pair_settings, clear_settings
from separations.measuring.moire.ink_pair_moire import pair_moire
from separations.measuring.moire.mesh_moire import TintInk, mesh_moire
from separations.measuring.moire.photo_moire import photo_moire
from separations.measuring.moire.printed_patch import forget_patches
from separations.measuring.moire.rosette_drift import rosettes
from separations.measuring.moire.underbase_moire import underbase_moire
from separations.planes.art_separation import ArtSeparation
from separations.planes.laid_out_job import LaidOutJob


def measure_moire(laid: LaidOutJob, separation: ArtSeparation,
                  load: LoadPixels = load_pixels) -> tuple[MoireFacts, ...]:
    """Simulate the job's halftones on their cloth and on each other.

    Parameters
    ----------
    laid : LaidOutJob
        The job on its board.
    separation : ArtSeparation
        Its inks' colours.
    load : callable
        Decodes a picture.

    Returns
    -------
    tuple of MoireFacts
        One for each halftone with its mesh, for each pair of halftones, and for each halftone
        that beats with the photograph. Scattered dots and line work have none.
    """
    if not separation.lattices:
        return ()
    numbered = tint_inks(laid, separation.model)
    inks = [ink for _, ink in numbered]
    facts = [_with_mends(mesh_moire(ink), ink, inks) for ink in inks]
    facts += [_pair(numbered[a], numbered[b], separation.model, inks)
              for b in range(len(numbered)) for a in range(b)]
    facts += underbase_moire(laid, inks)
    forget_patches()
    facts += photo_moire(laid, separation, numbered, load)
    return tuple(facts)


def measure_rosettes(laid: LaidOutJob, separation: ArtSeparation) -> tuple[RosetteFacts, ...]:
    """How the rosettes of three inks drift over the board."""
    if not separation.lattices:
        return ()
    least_x, _, greatest_x, _ = laid.area.image_bounds
    return rosettes(tint_inks(laid, separation.model), separation.model,
                    length_mm=greatest_x - least_x,
                    placement_mm=laid.job.register.placement.mm)


def tint_inks(laid: LaidOutJob, model: PrintModel) -> list[tuple[int, TintInk]]:
    """The photograph's inks that have a ruling, each with its number among all of them."""
    job = laid.job
    return [(number, TintInk(name=ink.name, spec=job.halftone_of(ink), mesh=job.mesh_of(ink),
                             wood_y=_luminance(model, 0), solid_y=_luminance(model, 1 << number)))
            for number, ink in enumerate(job.photo_inks) if job.halftone_of(ink).is_periodic]


def _with_mends(facts: MoireFacts, ink: TintInk, inks: Sequence[TintInk]) -> MoireFacts:
    if facts.times_threshold < SEEN_WHEN_LOOKED_FOR:
        return facts
    return replace(facts, mends=clear_settings(ink, [o for o in inks if o is not ink]))


def _pair(one: tuple[int, TintInk], other: tuple[int, TintInk], model: PrintModel,
          inks: Sequence[TintInk]) -> MoireFacts:
    both_y = _luminance(model, 1 << one[0] | 1 << other[0])
    facts = pair_moire(one[1], other[1], both_y)
    if facts.times_threshold < SEEN_WHEN_LOOKED_FOR:
        return facts
    rest = [o for o in inks if o is not one[1] and o is not other[1]]
    return replace(facts, mends=clear_pair_settings(one[1], other[1], both_y, rest))


def _luminance(model: PrintModel, primary: int) -> float:
    """Luminous reflectance (1 = white) of an overprint of solids."""
    light, a, b = (float(v) for v in model.primaries_lab[primary])
    return float(lab_to_xyz((light, a, b))[1])
