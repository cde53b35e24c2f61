"""Photographs as planes: what each ink's own keys do to its plane."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.prepared_jobs import laid_out, separated


def test_an_inks_own_choke_draws_its_plane_in(small_job: Callable[..., Path]) -> None:
    """Beside a photograph's white half the choked ink ends 1 mm earlier, and no other does."""
    ends = {}
    for choke in ("", 'choke = "1 mm"\n'):
        path = small_job(('angle = 22.5\n', f'angle = 22.5\n{choke}'))
        halves = np.full((360, 1240, 3), 255, np.uint8)
        halves[:, :620] = 0
        Image.fromarray(halves).save(path.parent / "photo.png")
        separation = separated(laid_out(path), 150)
        across = separation.grid.columns // 2
        ends[choke] = [np.count_nonzero(plane[:, across] > plane.max() / 2)
                       * separation.grid.pixel_mm
                       for plane in separation.planes]
    plain, drawn_in = ends.values()
    apart = np.array(plain) - np.array(drawn_in)
    assert apart[[0, 1, 3]] == pytest.approx([0, 0, 0], abs=0.2)  # finer pixels with a choke
    assert apart[2] == pytest.approx(1.0, abs=separation.grid.pixel_mm)
