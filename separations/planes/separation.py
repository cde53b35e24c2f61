"""From a photograph to one plane of film tones per ink."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from separations.planes.ink_lattice import LATTICE_NODES, InkLattice
from separations.runtime.parallel_rows import share_rows

if TYPE_CHECKING:
    from separations.colour.tetrahedral import Places

Levels = NDArray[np.float64]

_TONE_TOP = 65535
_OPAQUE = 255
#: Rows laid over at a time.
_ROWS_AT_ONCE = 64
#: With held dots, tones below this part of the smallest one still count as bare.
_BARE_PART = 0.125


def separate(rgb: NDArray[np.uint8] | NDArray[np.uint16], lattice: InkLattice, *,
             pixel_mm: float | None = None) -> NDArray[np.uint16]:
    """Film tones of every pixel of a photograph.

    Parameters
    ----------
    rgb : ndarray, shape (rows, cols, 3), uint8 or uint16
        The photograph, in the encoding that the lattice was built for.
    lattice : InkLattice
        Film tones over that encoding.
    pixel_mm : float, optional
        Side of its pixels on the board, for detail to be put back that bringing colours within
        reach takes away; nothing is put back without it.

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
    planes = np.empty((lattice.ink_count, *rgb.shape[:2]), np.uint16)
    separate_over(planes, rgb, np.full(rgb.shape[:2], _OPAQUE, np.uint8), lattice,
                  pixel_mm=pixel_mm)
    return planes


def separate_over(planes: NDArray[np.uint16], rgb: NDArray[np.uint8] | NDArray[np.uint16],
                  cover: NDArray[np.uint8], lattice: InkLattice, *,
                  levels: Levels | None = None, pixel_mm: float | None = None) -> None:
    """Lay a photograph's film tones over those that are there, as far as it covers.

    Parameters
    ----------
    planes : ndarray, shape (k, rows, columns), uint16
        What lies beneath; receives the result.
    rgb, lattice
        As for `separate`.
    cover : ndarray, shape (rows, columns), uint8
        255 where the photograph is opaque, 0 where it is not there.
    levels : ndarray, shape (levels,), float64, optional
        What each channel level counts as (0 to 1), where the artist changed them.
    pixel_mm : float, optional
        As for `separate`.

    Raises
    ------
    ValueError
        When the photograph is of another shape or type.
    """
    from separations.planes.cover_kernel import lay_over

    rows, columns = cover.shape
    tones_into = _interpolation(rgb, lattice, lattice_places(rgb, levels), pixel_mm)

    def work(first: int, stop: int) -> None:
        for row in range(first, stop, _ROWS_AT_ONCE):
            part = slice(row, min(row + _ROWS_AT_ONCE, stop))
            covering = cover[part]
            if covering.min() == _OPAQUE:
                tones_into(part.start, part.stop, planes[:, part])
            elif covering.any():
                over = np.empty((len(planes), *covering.shape), np.uint16)
                tones_into(part.start, part.stop, over)
                for beneath, above in zip(planes, over, strict=True):
                    lay_over(beneath[part], above, covering)

    share_rows(rows, work, least=max(1, 65536 // max(columns, 1)))


def _interpolation(
    rgb: NDArray[np.uint8] | NDArray[np.uint16], lattice: InkLattice, places: Places,
    pixel_mm: float | None,
) -> Callable[[int, int, NDArray[np.uint16]], None]:
    """What fills planes, shape (k, n, columns), with the tones of some rows of a photograph."""
    from separations.colour.tetrahedral import interpolate_tones
    from separations.planes.lost_detail import NO_LIFTS, lost_detail

    nodes = np.ascontiguousarray(lattice.nodes.reshape(-1, lattice.ink_count))
    ends = _tone_ends(lattice)
    cap = int(np.floor(lattice.tone_sum_limit * _TONE_TOP + 1e-6))
    source = np.ascontiguousarray(rgb)
    takes = pixel_mm is not None and lattice.node_seen_light.any()
    lost = lost_detail(rgb, places, lattice.node_seen_light, pixel_mm) if (
        pixel_mm is not None and takes) else None

    def tones_into(first: int, stop: int, out: NDArray[np.uint16]) -> None:
        lifts = NO_LIFTS if lost is None else lost.of_rows(first, stop)
        interpolate_tones(source[first:stop], places, lifts, nodes, ends, cap, out)

    return tones_into


def lattice_places(rgb: NDArray[np.uint8] | NDArray[np.uint16],
                   levels: Levels | None = None) -> Places:
    """Where each channel level of a photograph lies in a lattice.

    Parameters
    ----------
    rgb : ndarray, shape (rows, cols, 3), uint8 or uint16
        The photograph.
    levels : ndarray, shape (levels,), float64, optional
        What each level counts as (0 to 1); evenly spaced if not given.

    Raises
    ------
    ValueError
        When the photograph is not uint8 or uint16 (rows, cols, 3).
    """
    from separations.colour.tetrahedral import PARTS, Places

    if rgb.ndim != 3 or rgb.shape[2] != 3 or rgb.dtype not in (np.uint8, np.uint16):
        raise ValueError("the photograph is not uint8 or uint16 (rows, cols, 3)")
    top = np.iinfo(rgb.dtype).max
    if levels is not None:
        place = np.clip(levels, 0.0, 1.0) * (LATTICE_NODES - 1)
        whole = np.minimum(place.astype(np.int32), LATTICE_NODES - 2)
        return Places(cell=whole, part=np.rint((place - whole) * PARTS).astype(np.int32))
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
