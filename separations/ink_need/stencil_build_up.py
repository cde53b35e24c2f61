"""Ink that halftone dots carry beyond the mesh's own: the height of the stencil's walls.

In a solid the mesh lies on the wood and only its own volume prints. Near the stencil's walls it is
held off the wood by the emulsion over the mesh, and the space beneath fills with ink as well: small
dots, which are all edge, print thicker ("It's the PITS", screenprintingmag.com: mounded dots of UV
ink; "The Print Sequence Project", screenweb.com, July 2007, therefore asks for stencils of low
emulsion over mesh and low Rz). Neither gives figures; the model here is geometry with an own rule.
What the roughness Rz of the stencil adds is left out: no figure of it was found.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preflight.press.halftone_spec import HalftoneSpec
from preflight.press.mesh import Mesh
from separations.ink_need.ink_estimate import TRANSFER, Range

#: Emulsion over mesh, as a share of the fabric's thickness: low, likely, high. Source: 10 to 15 %
#: for graphics, norcalsps.com.
OVER_MESH = (0.10, 0.125, 0.15)
#: How far from a wall the mesh is held off, in thread pitches. Own rule, no source: taut
#: threads come down on the wood within an opening or two of the wall.
REACH_PITCHES = (0.0, 1.0, 2.0)
_FULL = 65_535
#: Tones are counted in so many classes.
_CLASSES = 256
#: No more pixels of a plane are looked at.
_MOST_PIXELS = 1_000_000


def build_up_um(tones: NDArray[np.uint16], spec: HalftoneSpec, mesh: Mesh,
                over_mesh_um: float | None = None) -> Range:
    """What the stencil's walls add to a solid's deposit (µm), in the mean over a plane's ink.

    Parameters
    ----------
    tones : ndarray of uint16, shape (rows, columns)
        Film tones, 65535 = solid; large planes are sampled.
    spec, mesh : HalftoneSpec, Mesh
        The film's halftone, and its cloth.
    over_mesh_um : float, optional
        Emulsion over mesh as measured (µm); without it the usual share of the fabric.

    Notes
    -----
    Emulsion over mesh × the share of the ink within reach of a wall (`edge_share`) × transfer.
    """
    step = max(1, int(np.ceil(np.sqrt(tones.size / _MOST_PIXELS))))
    # The last class is the solid alone, which has no walls; the first is taken for bare.
    found = np.bincount((tones[::step, ::step].ravel().astype(np.uint32) * (_CLASSES - 1)) // _FULL,
                        minlength=_CLASSES)
    centres = np.minimum((np.arange(_CLASSES) + 0.5) / (_CLASSES - 1), 1.0)
    centres[0] = 0.0
    ink = found * centres
    if ink.sum() == 0:
        return Range(low=0.0, likely=0.0, high=0.0)
    heights = [over_mesh_um if over_mesh_um is not None else share * mesh.thickness_um
               for share in OVER_MESH]
    low, likely, high = (
        height * transfer * float((ink * edge_share(centres, spec, pitches * mesh.pitch_um)).sum()
                                  / ink.sum())
        for height, transfer, pitches in zip(heights, TRANSFER, REACH_PITCHES, strict=True))
    return Range(low=low, likely=likely, high=high)


def edge_share(tones: NDArray[np.float64], spec: HalftoneSpec,
               reach_um: float) -> NDArray[np.float64]:
    """Share of each tone's ink that lies within reach of its dots' rims.

    Parameters
    ----------
    tones : ndarray of float64
        0 to 1; a solid has no rim.
    spec : HalftoneSpec
        Dots are reckoned round, to half the tones dots, beyond them holes; stochastic ones as
        wide as they are at least.
    reach_um : float
        How far from a rim (µm).

    Notes
    -----
    A disc of radius R has (1 − (1 − r/R)²) of its area within r < R of its rim; round a hole of
    radius H lie π((H + r)² − H²) (geometry).
    """
    period_um = (1e4 / spec.ruling_lpcm if spec.is_periodic
                 else spec.stochastic_dot_um * np.sqrt(np.pi / 2))
    share = np.zeros_like(tones)
    dots, holes = (tones > 0) & (tones <= 0.5), (tones > 0.5) & (tones < 1)
    radius = period_um * np.sqrt(tones[dots] / np.pi)
    share[dots] = 1 - np.clip(1 - reach_um / radius, 0, 1) ** 2
    hole = period_um * np.sqrt((1 - tones[holes]) / np.pi)
    share[holes] = np.minimum(1.0, np.pi * ((hole + reach_um)**2 - hole**2)
                              / period_um**2 / tones[holes])
    return share
