"""Dots taken from films that are screened elsewhere: a part of one, or several side by side.

Nothing is screened anew here, so what is laid out of a film's dots is those dots, bit for bit.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preflight.halftone_spec import HalftoneSpec
from preflight.raster_grid import RasterGrid
from separations.halftone.film_content import FilmContent


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LaidDots(ABC):
    """A film's dots, ready to be asked for region by region.

    Attributes
    ----------
    film_grid : RasterGrid
        The film's pixels.
    spec : HalftoneSpec
        The halftone that the dots were screened with.
    """

    film_grid: RasterGrid
    spec: HalftoneSpec

    @property
    def content(self) -> LaidDots:
        """Itself: there is nothing left to prepare."""
        return self

    @abstractmethod
    def region(self, first_row: int, end_row: int, first_column: int,
               end_column: int) -> NDArray[np.uint8]:
        """Packed dots as `separations.halftone.screening.screen_region` gives them."""


#: What a film is made from.
FilmDots = FilmContent | LaidDots
