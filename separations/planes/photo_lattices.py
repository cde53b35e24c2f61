"""Tables from a photograph's colours to film tones, for its inks and for an underbase."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from preflight.art.source_colour import SourceColour
from preflight.job_file.job import Job
from preflight.job_file.job_tables import ArtTable
from separations.colour.job_inks import bare_wood_model
from separations.colour.print_model import PrintModel
from separations.planes.ink_lattice import LATTICE_NODES, InkLattice, build_ink_lattice
from separations.planes.photo_hand import hand_lab
from separations.planes.underbase import underbase_lattice


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PhotoLattices:
    """How one encoding's colours become inks.

    Attributes
    ----------
    inks : InkLattice
        Film tones of the photograph's inks.
    underbase : InkLattice or None
        Those of the underbase, if the job has one.
    """

    inks: InkLattice
    underbase: InkLattice | None


def photo_lattices(job: Job, model: PrintModel,
                   colours: Sequence[SourceColour]) -> tuple[PhotoLattices, ...]:
    """Tables from the photographs' colours to inks, one for each photograph.

    Parameters
    ----------
    job : Job
        Its inks and wishes.
    model : PrintModel
        The photograph's inks on what lies beneath them.
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
    wanted = job.separation
    ends = [job.separated_ends_of(ink) for ink in job.photo_inks]
    names = [ink.name for ink in job.photo_inks]
    inks = build_ink_lattice(
        model, hand_lab(art, colour, _nodes_rgb()),
        tone_sum_limit=wanted.tone_sum_limit.fraction,
        black_ink=names.index(wanted.black_ink) if wanted.black_ink else None,
        black_generation=wanted.black_generation, rendering=wanted.rendering,
        adaptation=wanted.adaptation,
        smallest_tone=[smallest for smallest, _ in ends],
        largest_tone=[largest for _, largest in ends], small_dots=wanted.small_dots)
    return PhotoLattices(
        inks=inks, underbase=_underbase_lattice(job, model, inks) if job.underbase else None)


def _underbase_lattice(job: Job, model: PrintModel, lattice: InkLattice) -> InkLattice:
    assert job.underbase is not None
    smallest, largest = job.separated_ends_of(job.underbase)
    return underbase_lattice(lattice, model, bare_wood_model(job),
                             smallest_tone=smallest, largest_tone=largest)


def _nodes_rgb() -> NDArray[np.float64]:
    """The lattice's colours in the photograph's own encoding, shape (33, 33, 33, 3), 0 to 1."""
    steps = np.linspace(0.0, 1.0, LATTICE_NODES)
    return np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1)
