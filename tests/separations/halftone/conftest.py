"""Small films for the halftone's tests."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from preflight.frames.raster_grid import RasterGrid, grid_over
from preflight.press.halftone_spec import HalftoneSpec
from separations.halftone.film_content import FilmContent


@pytest.fixture
def photo_film() -> Callable[..., FilmContent]:
    """A film of smooth random tones; keywords change its halftone or add spans and lines."""
    def build(*, width_mm: float = 24.0, length_mm: float = 31.0, seed: int = 5,
              content: dict[str, Any] | None = None, **spec: Any) -> FilmContent:
        halftone = replace(HalftoneSpec(ruling_lpcm=18.0, angle_deg=22.5, dot_shape="round",
                                        film_dpi=1440.0), **spec)
        bounds = (-5.0, 3.0, length_mm - 5.0, 3.0 + width_mm)
        plane: RasterGrid = grid_over(bounds, 25.4 / 233)
        rng = np.random.default_rng(seed)
        coarse = rng.integers(-6000, 72000, (plane.rows // 12 + 1, plane.columns // 12 + 1))
        tones = np.kron(coarse, np.ones((12, 12)))[:plane.rows, :plane.columns]
        tones += rng.normal(0, 900, tones.shape)
        return FilmContent(tones=tones.clip(0, 65535).astype(np.uint16), tone_grid=plane,
                           film_grid=grid_over(bounds, 25.4 / halftone.film_dpi), spec=halftone,
                           **(content or {}))
    return build
