"""What a halftone is: ruling, angle, dot shape and the film's resolution."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, get_args

from preflight.units import MM_PER_INCH

DotShape = Literal["round", "elliptical", "square", "line"]
DOT_SHAPE_NAMES: tuple[DotShape, ...] = get_args(DotShape)
SmallDots = Literal["drop", "hold"]


@dataclass(frozen=True, slots=True, kw_only=True)
class HalftoneSpec:
    """One ink's halftone.

    Attributes
    ----------
    ruling_lpcm : float
        Lines per cm.
    angle_deg : float
        Degrees anticlockwise from the board's long axis (+x towards +y); on the film, nose up,
        this is anticlockwise from the page's upward direction.
    dot_shape : DotShape
        Shape of the dot.
    film_dpi : float
        Film pixels per inch.
    smallest_tone, largest_tone : float
        The tone values (0 to 1) between which dots print; solids stay solid.
    small_dots : SmallDots
        Tones between 0 and ``smallest_tone``: ``drop`` to nothing or ``hold`` the smallest dot.
    """

    ruling_lpcm: float
    angle_deg: float
    dot_shape: DotShape
    film_dpi: float
    smallest_tone: float = 0.0
    largest_tone: float = 1.0
    small_dots: SmallDots = "drop"

    @property
    def cell_pixels(self) -> float:
        """Film pixels along one halftone period (side of the cell)."""
        return self.film_dpi * 10.0 / MM_PER_INCH / self.ruling_lpcm

    @property
    def tone_steps(self) -> float:
        """Tone steps above zero in one cell, (cell pixels)².

        Source: "Choosing halftone dot shape", screenprintingmag.com ((cell px)² − 1 between
        paper and solid).
        """
        return self.cell_pixels**2


def dot_diameter_um(tone: float, ruling_lpcm: float) -> float:
    """Diameter (µm) of the round dot that covers ``tone`` (0 to 1) of a cell. Geometry."""
    return math.sqrt(4.0 * tone / math.pi) * 10_000.0 / ruling_lpcm


def tone_of_dot(diameter_um: float, ruling_lpcm: float) -> float:
    """Tone value (0 to 1) of a round dot of that diameter (µm). Geometry; at most 1."""
    return min(1.0, math.pi / 4.0 * (diameter_um * ruling_lpcm / 10_000.0) ** 2)
