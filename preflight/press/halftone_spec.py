"""What a halftone is: ruling, angle, dot shape and the film's resolution."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from preflight.press.dot_shapes import STOCHASTIC, makes_lines, shape_names
from preflight.units import MM_PER_INCH

#: A name in `preflight.press.dot_shapes.DOT_SHAPES`, or ``stochastic``: scattered dots of one size.
DotShape = str
SmallDots = Literal["drop", "hold", "thin"]


@dataclass(frozen=True, slots=True, kw_only=True)
class HalftoneSpec:
    """One ink's halftone.

    Attributes
    ----------
    ruling_lpcm : float
        Lines per cm; of no effect with ``stochastic`` dots.
    angle_deg : float
        Degrees anticlockwise from the board's long axis (+x towards +y); on the film, nose up,
        this is anticlockwise from the page's upward direction. Likewise of no effect.
    dot_shape : DotShape
        Shape of the dot.
    film_dpi : float
        Film pixels per inch.
    smallest_tone, largest_tone : float
        The tone values (0 to 1) between which dots print; solids stay solid.
    small_dots : SmallDots
        Tones between 0 and ``smallest_tone``: ``drop`` to nothing, ``hold`` the smallest dot, or
        ``thin``: whole smallest dots, fewer and fewer, so that the mean tone is kept; likewise
        whole smallest holes above ``largest_tone``.
    stochastic_dot_um : float
        Least width (µm) of ``stochastic`` dots, of the gaps between them and of their necks.
    pattern : int
        Number of the ink (from 0), so that no two inks scatter their dots alike.
    """

    ruling_lpcm: float
    angle_deg: float
    dot_shape: DotShape
    film_dpi: float
    smallest_tone: float = 0.0
    largest_tone: float = 1.0
    small_dots: SmallDots = "drop"
    stochastic_dot_um: float = 0.0
    pattern: int = 0

    def __post_init__(self) -> None:
        """Refuse a shape that there is not."""
        if self.dot_shape not in shape_names():
            raise ValueError(f"there is no dot shape '{self.dot_shape}'")

    @property
    def is_periodic(self) -> bool:
        """Whether the dots lie at a ruling and an angle."""
        return self.dot_shape != STOCHASTIC

    @property
    def makes_lines(self) -> bool:
        """Whether the dots are lines along the angle, whatever the tone."""
        return makes_lines(self.dot_shape)

    @property
    def cell_pixels(self) -> float:
        """Film pixels along one halftone period (side of the cell)."""
        return self.film_dpi * 10.0 / MM_PER_INCH / self.ruling_lpcm

    @property
    def dot_reach_mm(self) -> float:
        """How far (mm) a dot's ink may lie from its middle: half the diagonal of its cell."""
        side_mm = 10.0 / self.ruling_lpcm if self.is_periodic else self.stochastic_dot_um / 1000
        return side_mm * (math.sqrt(0.5) if self.is_periodic else 2 / math.sqrt(3))

    @property
    def tone_steps(self) -> float:
        """Tone steps above zero in one cell, (cell pixels)².

        Source: "Choosing halftone dot shape", screenprintingmag.com ((cell px)² − 1 between
        paper and solid).
        """
        return self.cell_pixels**2


def halftone_told(spec: HalftoneSpec, ruling_written: str) -> str:
    """The halftone in a few words, for labels: ruling and angle, or the size of scattered dots."""
    if not spec.is_periodic:
        return f"stochastic, {spec.stochastic_dot_um:.0f} µm"
    return f"{ruling_written} at {spec.angle_deg:g}°, {spec.dot_shape} dots"


def dot_diameter_um(tone: float, ruling_lpcm: float) -> float:
    """Diameter (µm) of the round dot that covers ``tone`` (0 to 1) of a cell. Geometry."""
    return math.sqrt(4.0 * tone / math.pi) * 10_000.0 / ruling_lpcm


def tone_of_dot(diameter_um: float, ruling_lpcm: float) -> float:
    """Tone value (0 to 1) of a round dot of that diameter (µm). Geometry; at most 1."""
    return min(1.0, math.pi / 4.0 * (diameter_um * ruling_lpcm / 10_000.0) ** 2)
