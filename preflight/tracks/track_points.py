"""Recorded points on the earth, and the part of them that a job wants."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrackPoints:
    """Points in the order in which they were recorded.

    Attributes
    ----------
    latitude_deg, longitude_deg : NDArray of float64, shape (N,)
        Degrees of WGS 84.
    height_m : NDArray of float64, shape (N,)
        Metres; NaN where none was recorded.
    seconds : NDArray of float64, shape (N,)
        When, in seconds since 1970 (UTC); NaN where it was not recorded.
    stretch : NDArray of int64, shape (N,)
        The stretch that each point belongs to: between two stretches nothing was recorded.
    number : NDArray of int64, shape (N,)
        Each point's number among those of the job's part of the file, from 1.
    """

    latitude_deg: FloatArray
    longitude_deg: FloatArray
    height_m: FloatArray
    seconds: FloatArray
    stretch: NDArray[np.int64]
    number: NDArray[np.int64]

    def __len__(self) -> int:
        """How many points."""
        return len(self.latitude_deg)

    def only(self, kept: BoolArray) -> TrackPoints:
        """Some of the points."""
        return TrackPoints(
            latitude_deg=self.latitude_deg[kept], longitude_deg=self.longitude_deg[kept],
            height_m=self.height_m[kept], seconds=self.seconds[kept],
            stretch=self.stretch[kept], number=self.number[kept])
