"""How near the print comes to the photograph, and how much of the board stays wood."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from separations.colour.display import shown_srgb
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
        overprints=overprints_of(whole_model(laid.job), [ink.name for ink in laid.job.ink]))


def overprints_of(model: PrintModel, names: Sequence[str]) -> tuple[Overprint, ...]:
    """The model's wood, solids and overprints under the job's own names, fewest inks first.

    Parameters
    ----------
    model : PrintModel
        All inks on the wood.
    names : sequence of str
        The inks in the model's order.
    """
    order = sorted(range(len(model.measured)), key=lambda index: (index.bit_count(), index))
    return tuple(
        Overprint(inks=tuple(name for place, name in enumerate(names) if index >> place & 1),
                  lab=(float(lab[0]), float(lab[1]), float(lab[2])), srgb=shown_srgb(lab),
                  measured=bool(model.measured[index]))
        for index, lab in ((i, model.primaries_lab[i]) for i in order))


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
    measured : bool
        Whether it was read from a print; else it is an estimate from the inks' solids.
    """

    inks: tuple[str, ...]
    lab: tuple[float, float, float]
    srgb: tuple[int, int, int]
    measured: bool


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
