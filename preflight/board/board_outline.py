"""The board's outline: one closed ring in board millimetres."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import LinearRing, Polygon

SHORTEST_BOARD_MM = 200.0
LONGEST_BOARD_MM = 3000.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoardOutline:
    """A board seen from its printed side, nose towards +x.

    Attributes
    ----------
    ring_mm : NDArray of float64, shape (N, 2)
        x and y (mm) in the board frame; closed by joining the last point to the first, which is
        not repeated; simple, anticlockwise.
    sidecut_radius_mm : float or None
        Radius of the sidecut's arc (mm, infinite for straight sides) where it is known.
    waist_x_mm : float or None
        Where the narrowest station lies (mm from mid-length) where it is known.
    remarks : tuple of str
        What was done to the user's points on reading, one plain sentence each.
    """

    ring_mm: NDArray[np.float64]
    sidecut_radius_mm: float | None = None
    waist_x_mm: float | None = None
    remarks: tuple[str, ...] = ()

    @property
    def length_mm(self) -> float:
        """Tip to tail along x (mm)."""
        return float(np.ptp(self.ring_mm[:, 0]))

    @property
    def width_mm(self) -> float:
        """Greatest extent across, along y (mm)."""
        return float(np.ptp(self.ring_mm[:, 1]))

    @property
    def polygon(self) -> Polygon:
        """The outline as a filled shapely polygon."""
        return Polygon(self.ring_mm)

    @property
    def area_mm2(self) -> float:
        """Area inside the outline (mm²)."""
        return float(self.polygon.area)

    def width_at(self, x_mm: float) -> float:
        """Extent across at the station ``x_mm`` (mm); 0 beyond tip and tail."""
        start, end = self.ring_mm, np.roll(self.ring_mm, -1, axis=0)
        touched = (np.minimum(start[:, 0], end[:, 0]) <= x_mm) & (
            np.maximum(start[:, 0], end[:, 0]) >= x_mm)
        if not touched.any():
            return 0.0
        start, end = start[touched], end[touched]
        run = end[:, 0] - start[:, 0]
        upright = run == 0.0
        along = (x_mm - start[:, 0]) / np.where(upright, 1.0, run)
        crossing = start[:, 1] + along * (end[:, 1] - start[:, 1])
        y_mm = np.concatenate([crossing[~upright], start[upright, 1], end[upright, 1]])
        return float(np.ptp(y_mm))


def anticlockwise(ring_mm: NDArray[np.float64]) -> NDArray[np.float64]:
    """The same ring (N, 2), turned over where it ran clockwise."""
    return ring_mm if LinearRing(ring_mm).is_ccw else np.ascontiguousarray(ring_mm[::-1])


def seen_from_the_base(outline: BoardOutline) -> BoardOutline:
    """The outline of the same board seen from its other side, nose still towards +x."""
    return replace(outline, ring_mm=anticlockwise(outline.ring_mm * np.array([1.0, -1.0])))


def half_mirrored(half_mm: NDArray[np.float64]) -> NDArray[np.float64]:
    """The whole ring (N, 2) of one half and its mirror image across the centre line.

    Parameters
    ----------
    half_mm : NDArray of float64, shape (M, 2)
        One side from end to end; end points on the centre line are not doubled.
    """
    mirrored = half_mm[::-1] * np.array([1.0, -1.0])
    first = 1 if half_mm[-1, 1] == 0.0 else 0
    last = len(mirrored) - 1 if half_mm[0, 1] == 0.0 else len(mirrored)
    return anticlockwise(np.concatenate([half_mm, mirrored[first:last]]))
