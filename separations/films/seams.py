"""Where a film that does not fit the printer is cut into panels.

Rule (our own): as few panels as fit, none under half the printer's size; every seam lies where the
art under its overlap carries the least ink, as far as those sizes leave a choice, and of equals
where the panels come out most alike. Places are tried in whole millimetres.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

#: Own rule, no source: a panel that is hardly more than its overlap cannot be spliced.
LEAST_NEW_MM = 10
#: How much more a seam through ink counts than panels of unlike size (mean tone 0 to 1).
_EVENNESS = 1e-3


def panel_count(size_mm: float, most_mm: float, overlap_mm: float) -> int:
    """The fewest panels of at most ``most_mm`` that cover a size; 0 where none would.

    Parameters
    ----------
    size_mm, most_mm, overlap_mm : float
        What is to be covered, a panel's greatest size, and how much neighbours share (mm).
    """
    if size_mm <= most_mm:
        return 1
    new_mm = most_mm - overlap_mm
    if new_mm < overlap_mm + LEAST_NEW_MM:
        return 0
    return max(2, math.ceil((size_mm - overlap_mm) / new_mm - 1e-9))


def seams(size_mm: float, most_mm: float, overlap_mm: float,
          ink: NDArray[np.float64]) -> tuple[int, ...] | None:
    """Middles of the overlaps, in whole mm from the first edge.

    Parameters
    ----------
    size_mm, most_mm, overlap_mm : float
        As for `panel_count`.
    ink : NDArray of float64, shape (floor(size) + 1,)
        Ink at each whole mm, 0 to 1; infinite where no seam may lie.

    Returns
    -------
    tuple of int, or None
        One fewer than panels; none of them when one panel does; ``None`` where no panels would.
    """
    count = panel_count(size_mm, most_mm, overlap_mm)
    if count < 2:
        return () if count else None
    places = np.arange(len(ink))
    under = _mean_under(ink, overlap_mm)
    half, least_mm = overlap_mm / 2, most_mm / 2
    end_mm = size_mm - (places - half)
    first = (places + half <= most_mm) & (places + half >= least_mm)
    best = np.where(first, under + _uneven(places, size_mm / count, size_mm), np.inf)
    came_from = []
    step = np.subtract.outer(places, places)
    allowed = (step + overlap_mm <= most_mm) & (step + overlap_mm >= least_mm)
    allowed &= step >= overlap_mm + LEAST_NEW_MM
    for number in range(2, count):
        ways = np.where(allowed, best[None, :], np.inf)
        came_from.append(ways.argmin(axis=1))
        best = ways.min(axis=1) + under + _uneven(places, size_mm * number / count, size_mm)
    best = np.where((end_mm <= most_mm) & (end_mm >= least_mm), best, np.inf)
    if not np.isfinite(best).any():
        return None
    found = [int(best.argmin())]
    for before in reversed(came_from):
        found.append(int(before[found[-1]]))
    return tuple(reversed(found))


def _mean_under(ink: NDArray[np.float64], overlap_mm: float) -> NDArray[np.float64]:
    """Mean ink under an overlap about each place; infinite where it reaches what it may not."""
    half = math.ceil(overlap_mm / 2)
    padded = np.pad(ink, half, constant_values=np.inf)
    return np.asarray(np.lib.stride_tricks.sliding_window_view(padded, 2 * half + 1).mean(axis=1),
                      np.float64)


def _uneven(places: NDArray[np.int64], even_mm: float, size_mm: float) -> NDArray[np.float64]:
    return np.asarray(_EVENNESS * ((places - even_mm) / size_mm) ** 2, np.float64)
