"""Places in a local frame against worked examples of the EPSG.

Source: IOGP Publication 373-7-2, Geomatics Guidance Note number 7, part 2, "Geographic/geocentric
conversions" (method 9602), "Geocentric/topocentric conversions" (9836) and
"Geographic/topocentric conversions" (9837): WGS 84, the point 53°48'33.820"N, 2°07'46.380"E, 73 m,
from the origin 55°N, 5°E, 200 m.
"""

from __future__ import annotations

import numpy as np
import pytest

from preflight.tracks.local_frame import LocalFrame, projections

POINT = (53 + 48 / 60 + 33.820 / 3600, 2 + 7 / 60 + 46.380 / 3600, 73.0)


def test_geographic_to_topocentric() -> None:
    local = LocalFrame(55.0, 5.0, 200.0).local_of(*(np.array([part]) for part in POINT))
    assert local[0] == pytest.approx([-189_013.869, -128_642.040, -4_220.171], abs=2e-3)


def test_and_back() -> None:
    places = LocalFrame(55.0, 5.0, 200.0).places_of(
        np.array([[-189_013.869, -128_642.040, -4_220.171]]))
    assert [float(part[0]) for part in places] == pytest.approx(POINT, abs=1e-3)
    assert [float(part[0]) for part in places[:2]] == pytest.approx(POINT[:2], abs=3e-8)


def test_geographic_to_geocentric() -> None:
    """The frame's own step, by the same library."""
    to_centre = projections().Transformer.from_crs("EPSG:4979", "EPSG:4978")
    assert to_centre.transform(*POINT) == pytest.approx(
        (3_771_793.968, 140_253.342, 5_124_304.349), abs=2e-3)


def test_nothing_is_fetched_from_a_network() -> None:
    assert not projections().network.is_network_enabled()
