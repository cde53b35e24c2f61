"""How often the lines of one shape may cross, counted on a lattice."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.vector_art.point_budget import need_few_crossings
from preflight.vector_art.svg_lengths import SvgFault


def test_crossings_are_counted_once_each() -> None:
    """300 lines along and 300 across meet 90 000 times."""
    at = np.arange(300) + 0.5
    low, high = np.zeros(300), np.full(300, 300.0)
    along = np.stack([np.column_stack([low, at]), np.column_stack([high, at])], axis=1)
    across = along[:, :, ::-1]
    # Two lines more for each, far off: under a thousand lines none are counted.
    apart = along[:200] + 1000.0
    rings = [*along, *across, *apart, *(apart + 1000.0)]
    assert len(rings) == 1000
    # Some of the lines stand for all, which tells the count to a fifth or so.
    need_few_crossings(rings, most=120_000)
    with pytest.raises(SvgFault, match="cross each other more than 65,000 times"):
        need_few_crossings(rings, most=65_000)
