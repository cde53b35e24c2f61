"""How near the print comes to the photograph, and how much of the board stays wood."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preflight.basis import Source
from preflight.job_file.job import Job
from separations.colour.display import shown_srgb
from separations.colour.figure_bases import overprint_source
from separations.colour.job_inks import whole_model
from separations.colour.print_model import PrintModel
from separations.planes.art_separation import ArtSeparation
from separations.planes.gamut import OUT_OF_REACH
from separations.planes.laid_out_job import LaidOutJob
from separations.proof.photo_beside_print import beside_print

_FULL = 65_535
#: Rows taken at a time: they stay in a processor's cache.
_BAND_ROWS = 32


def colour_reach(
    laid: LaidOutJob, separation: ArtSeparation, tones: NDArray[np.uint16],
    inside: NDArray[np.bool_],
) -> ColourReach | None:
    """Sum up what the inks reach over the printed area; None without a photograph.

    Parameters
    ----------
    laid, separation
        The job and its photographs as film tones.
    tones : ndarray of uint16, shape (inks, rows, columns)
        All inks' tones on any grid, line work included.
    inside : ndarray of bool, shape (rows, columns)
        The printed area on that grid.

    Notes
    -----
    Wood stays bare where no dot of any ink falls: the mean of the products of (1 - tone), as
    Demichel weighs dots that fall independently of each other.
    """
    if not separation.lattices:
        return None
    missed = separation.missed_within(laid.area.printed)
    bare = np.ones(tones.shape[1:], np.float32)
    for top in range(0, len(bare), _BAND_ROWS):
        rows = slice(top, top + _BAND_ROWS)
        for plane in tones:
            bare[rows] *= 1 - plane[rows].astype(np.float32) / _FULL
    beside = beside_print(laid.job, separation)
    return ColourReach(
        hue_shift_deg=beside.hue_shift_deg if beside else 0.0,
        chroma_kept=beside.chroma_kept if beside else 1.0,
        share_out=float(np.mean(missed > OUT_OF_REACH)), mean_de00=float(missed.mean()),
        p95_de00=float(np.percentile(missed, 95)), greatest_de00=float(missed.max()),
        bare_wood_share=float(bare[inside].mean()) if inside.any() else 1.0,
        overprints=tuple(_overprints(laid.job, whole_model(laid.job))))


def _overprints(job: Job, model: PrintModel) -> Iterator[Overprint]:
    """Wood, solids and overprints under the job's own names, fewest inks first."""
    order = sorted(range(len(model.primaries_lab)), key=lambda index: (index.bit_count(), index))
    for index in order:
        lab = model.primaries_lab[index]
        inks = tuple(ink.name for place, ink in enumerate(job.ink) if index >> place & 1)
        yield Overprint(inks=inks, lab=(float(lab[0]), float(lab[1]), float(lab[2])),
                        srgb=shown_srgb(lab), source=overprint_source(job, inks))


@dataclass(frozen=True, slots=True, kw_only=True)
class Overprint:
    """The colour of solids printed on each other.

    Attributes
    ----------
    inks : tuple of str
        In print order; none for the bare wood.
    lab : tuple of float
        CIELAB, D50, 2°.
    srgb : tuple of int
        For a screen, 0 to 255.
    source : Source
        What it rests on.
    """

    inks: tuple[str, ...]
    lab: tuple[float, float, float]
    srgb: tuple[int, int, int]
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourReach:
    """How near the print can come to the photograph, over the printed area.

    Attributes
    ----------
    share_out : float
        Share (0 to 1) of the photo whose mapped colour lies outside what the inks reach.
    mean_de00, p95_de00, greatest_de00 : float
        CIEDE2000 between what is aimed at and what the inks give.
    bare_wood_share : float
        Share (0 to 1) of the printed area that carries no ink at all.
    hue_shift_deg, chroma_kept : float
        Mean change of hue, and median of what is left of the chroma, of the photograph's stronger
        colours (C* over 20), as the job's eye sees the print.
    overprints : tuple of Overprint
        The wood, the solids and their overprints, fewest inks first.
    """

    share_out: float
    mean_de00: float
    p95_de00: float
    greatest_de00: float
    bare_wood_share: float
    hue_shift_deg: float
    chroma_kept: float
    overprints: tuple[Overprint, ...]
