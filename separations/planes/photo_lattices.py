"""Tables from a photograph's colours to film tones, for its inks and for an underbase."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from preflight.art.source_colour import SourceColour
from preflight.job_file.job import Job
from preflight.job_file.job_tables import ArtTable
from separations.colour.print_model import PrintModel, with_weaker_first_ink
from separations.colour.steady_courses import lattice_rgb
from separations.planes.highlight_white import highlights_of, with_highlights
from separations.planes.ink_lattice import InkLattice, build_ink_lattice
from separations.planes.photo_hand import hand_lab


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PhotoLattices:
    """How one encoding's colours become inks.

    Attributes
    ----------
    inks : InkLattice
        Film tones of the photograph's inks.
    underbase : InkLattice or None
        Those of the underbase, if the job has one.
    highlight : InkLattice or None
        Those of the highlight white, if the job has one.
    """

    inks: InkLattice
    underbase: InkLattice | None
    highlight: InkLattice | None = None


def photo_lattices(job: Job, model: PrintModel,
                   colours: Sequence[SourceColour]) -> tuple[PhotoLattices, ...]:
    """Tables from the photographs' colours to inks, one for each photograph.

    Parameters
    ----------
    job : Job
        Its inks and wishes.
    model : PrintModel
        What it is separated for: the underbase first, if the job has one, and the inks above it,
        which are solved together.
    colours : sequence of SourceColour
        The photographs' encodings; equal ones with equal saturation and greys share a table.
    """
    photos = [art for art in job.art if art.kind == "photo"]
    hands = [_Hand(colour, art.saturation, art.grey)
             for art, colour in zip(photos, colours, strict=True)]
    first = dict(zip(reversed(hands), reversed(photos), strict=True))
    made = {hand: _lattices(job, model, hand.colour, art) for hand, art in first.items()}
    return tuple(made[hand] for hand in hands)


class _Hand(NamedTuple):
    """What a photograph's table depends on beside the inks."""

    colour: SourceColour
    saturation: float
    grey: tuple[float, float, float] | None


def _lattices(job: Job, model: PrintModel, colour: SourceColour, art: ArtTable) -> PhotoLattices:
    wanted, under = job.separation, job.underbase
    printed = (*((under,) if under else ()), *job.photo_inks)
    ends = [job.separated_ends_of(ink) for ink in printed]
    names = [ink.name for ink in printed]
    most = wanted.underbase_strength.fraction if under else 1.0
    photo_lab = hand_lab(art, colour, lattice_rgb())
    found = highlights_of(job) if job.highlight_white else None
    lattice = build_ink_lattice(
        model if most == 1.0 else with_weaker_first_ink(model, most),
        found.without_white(photo_lab) if found else photo_lab,
        tone_sum_limit=wanted.tone_sum_limit.fraction,
        black_ink=names.index(wanted.black_ink) if wanted.black_ink else None,
        black_generation=wanted.black_generation, rendering=wanted.rendering,
        adaptation=wanted.adaptation,
        smallest_tone=[smallest for smallest, _ in ends],
        largest_tone=[largest for _, largest in ends], small_dots=wanted.small_dots)
    highlight = None
    if found is not None:
        lattice, highlight = with_highlights(job, found, lattice, photo_lab)
    if under is None:
        return PhotoLattices(inks=lattice, underbase=None, highlight=highlight)
    return PhotoLattices(inks=_some_inks(lattice, slice(1, None), lattice.tone_sum_limit),
                         underbase=_some_inks(lattice, slice(0, 1), 1.0, most), highlight=highlight)


def _some_inks(lattice: InkLattice, inks: slice, limit: float, most: float = 1.0) -> InkLattice:
    """The table of some of a lattice's inks, their tones times ``most``."""
    nodes = lattice.nodes[..., inks]
    return replace(
        lattice, ink_names=lattice.ink_names[inks], tone_sum_limit=limit,
        nodes=np.ascontiguousarray(np.rint(nodes * most).astype(np.uint16)),
        smallest_tone=lattice.smallest_tone[inks], largest_tone=lattice.largest_tone[inks])
