"""From a photograph to one plane of film tones per ink."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from separations.colour_model.parallel_rows import share_rows
from separations.planes.ink_lattice import LATTICE_NODES, InkLattice

if TYPE_CHECKING:
    from separations.colour_model.tetrahedral import Places

_TONE_TOP = 65535
#: With held dots, tones below this part of the smallest one still count as bare.
_BARE_PART = 0.125


def separate(rgb: NDArray[np.uint8] | NDArray[np.uint16],
             lattice: InkLattice) -> NDArray[np.uint16]:
    """Film tones of every pixel of a photograph.

    Parameters
    ----------
    rgb : ndarray, shape (rows, cols, 3), uint8 or uint16
        The photograph, in the encoding that the lattice was built for.
    lattice : InkLattice
        Film tones over that encoding.

    Returns
    -------
    ndarray, shape (k, rows, cols), uint16
        Film tones, 65535 = 100 %. No pixel's tones add up to more than the lattice's limit,
        and no tone lies where its ink's dots do not print.

    Raises
    ------
    ValueError
        When the photograph is of another shape or type.

    Notes
    -----
    Tones under the smallest one: ``drop`` rounds them to nothing or to the smallest dot,
    whichever is nearer, so that a fade ends in the least step that can be printed and keeps
    its mean; ``hold`` keeps the smallest dot down to an eighth of it. Likewise between the
    largest tone and solid. With ``thin`` a lattice's ends are 0 and 1: the film itself keeps the
    mean of smaller tones. Where raising a tone would pass the limit it is lowered instead.
    """
    from separations.colour_model.tetrahedral import interpolate_tones

    places = lattice_places(rgb)
    rows, cols = rgb.shape[:2]
    out = np.empty((lattice.ink_count, rows, cols), np.uint16)
    nodes = np.ascontiguousarray(lattice.nodes.reshape(-1, lattice.ink_count))
    ends = _tone_ends(lattice)
    cap = int(np.floor(lattice.tone_sum_limit * _TONE_TOP + 1e-6))
    source = np.ascontiguousarray(rgb)

    def work(first: int, stop: int) -> None:
        interpolate_tones(source[first:stop], places, nodes, ends, cap, out[:, first:stop])

    share_rows(rows, work, least=max(1, 65536 // max(cols, 1)))
    return out


def lattice_places(rgb: NDArray[np.uint8] | NDArray[np.uint16]) -> Places:
    """Where each channel level of a photograph lies in a lattice.

    Raises
    ------
    ValueError
        When the photograph is not uint8 or uint16 (rows, cols, 3).
    """
    from separations.colour_model.tetrahedral import PARTS, Places

    if rgb.ndim != 3 or rgb.shape[2] != 3 or rgb.dtype not in (np.uint8, np.uint16):
        raise ValueError("the photograph is not uint8 or uint16 (rows, cols, 3)")
    top = np.iinfo(rgb.dtype).max
    steps = np.arange(top + 1, dtype=np.int64) * (LATTICE_NODES - 1)
    cell = np.minimum(steps // top, LATTICE_NODES - 2)
    part = np.rint((steps - cell * top) * PARTS / top)
    return Places(cell=cell.astype(np.int32), part=part.astype(np.int32))


def _tone_ends(lattice: InkLattice) -> NDArray[np.int32]:
    """Counts at which each ink's tones are dropped, held, capped or made solid; shape (k, 4)."""
    small = np.rint(lattice.smallest_tone * _TONE_TOP)
    large = np.rint(lattice.largest_tone * _TONE_TOP)
    bare = small * (_BARE_PART if lattice.small_dots == "hold" else 0.5)
    solid = np.where(large < _TONE_TOP, (large + _TONE_TOP) / 2.0, _TONE_TOP)
    return np.ascontiguousarray(
        np.stack([np.ceil(bare), small, large, np.ceil(solid)], axis=1).astype(np.int32))
