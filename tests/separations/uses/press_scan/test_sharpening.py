"""Sharpening undone: levels as they were, rims and all."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from separations.uses.press_scan.sharpening import unsharpened


@pytest.mark.parametrize("amount", [0.0, 0.3, 0.8, 1.5])
def test_levels_are_as_they_were_before(amount: float) -> None:
    before = np.full((60, 60, 3), 0.7, np.float32)
    before[20:40, 15:45] = 0.2
    before = cv2.GaussianBlur(before, (0, 0), 0.8)
    sharp = before + amount * (before - cv2.GaussianBlur(before, (0, 0), 1.2))
    assert np.abs(unsharpened(sharp, amount) - before).max() < 0.01
    assert amount == 0.0 or np.abs(sharp - before).max() > 0.02
