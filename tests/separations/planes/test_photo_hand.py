"""The artist's hand: what exposure, contrast, curve, saturation and greys do."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.art.source_colour import srgb
from preflight.job_file.job_tables import ArtTable
from separations.colour.colorimetry import srgb_to_xyz
from separations.planes.photo_hand import hand_lab, hand_levels

COLOUR = srgb(assumed=True)
RED = np.array([[0.8, 0.2, 0.2]])


def levels(**keys: object) -> np.ndarray:
    found = hand_levels(ArtTable(**keys), COLOUR, 255)  # type: ignore[arg-type]
    assert found is not None
    return found


def test_nothing_asked_changes_nothing() -> None:
    assert hand_levels(ArtTable(), COLOUR, 255) is None


def test_a_stop_doubles_the_light() -> None:
    brighter = levels(exposure=1.0)
    light = [float(srgb_to_xyz(np.full(3, value))[1]) for value in (100 / 255, brighter[100])]
    assert light[1] == pytest.approx(2 * light[0], rel=1e-3)
    assert brighter[255] == 1.0


def test_contrast_keeps_ends_and_middle_and_never_falls() -> None:
    for contrast in (-1.0, 0.4, 1.0):
        bent = levels(contrast=contrast)
        assert bent[0] == 0.0
        assert bent[255] == 1.0
        assert (np.diff(bent) >= 0.0).all()
    steep = levels(contrast=1.0)
    assert np.diff(steep)[127] == pytest.approx(1.5 / 255, rel=0.01)


def test_a_curve_goes_through_its_pairs() -> None:
    bent = levels(curve=((0.2, 0.1), (0.8, 0.9)))
    assert np.interp([0.2, 0.8], np.linspace(0, 1, 256), bent) == pytest.approx([0.1, 0.9],
                                                                               abs=1e-3)


def test_saturation_scales_chroma_at_the_same_lightness() -> None:
    plain, dull = (hand_lab(ArtTable(saturation=each), COLOUR, RED)[0] for each in (1.0, 0.0))
    assert np.hypot(*dull[1:]) < 0.1 < np.hypot(*plain[1:])
    assert dull[0] == pytest.approx(plain[0], abs=0.01)


def test_greys_weigh_the_channels() -> None:
    through_red, through_blue = (hand_lab(ArtTable(grey=each), COLOUR, RED)[0]
                                 for each in ((1.0, 0.0, 0.0), (0.0, 0.0, 1.0)))
    assert np.hypot(*through_red[1:]) < 0.1
    assert through_red[0] > through_blue[0] + 40.0
