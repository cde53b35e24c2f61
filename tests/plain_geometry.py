"""What tests ask of geometry and the product does not."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preflight.art.placement import PlacedArt
from preflight.board.area_mask import RowSpans


def pixels_in(spans: RowSpans) -> int:
    """How many pixel centres lie inside."""
    return int((spans.ends - spans.starts).sum(dtype=np.int64))


def art_of(placed: PlacedArt, xy_mm: NDArray[np.float64]) -> NDArray[np.float64]:
    """Art pixel coordinates, shape (..., 2), of board x, y (mm), shape (..., 2)."""
    matrix = placed.to_art
    return np.asarray(xy_mm @ matrix[:2, :2].T + matrix[:2, 2])
