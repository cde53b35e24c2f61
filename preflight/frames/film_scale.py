"""How much larger a film is than its print, along and across the board.

Films grow with damp and heat, and a mesh gives way as it is stretched and printed; the shop
measures by how much a print comes out too long or too short and asks for films that make up for
it. The film's frame is the board's, each axis times its factor, about the middle of the board.
"""

from __future__ import annotations

from typing import NamedTuple, TypeVar

from shapely.affinity import scale as scaled
from shapely.geometry import MultiPolygon, Polygon

#: An area of the board, with holes or in parts.
Area = TypeVar("Area", Polygon, MultiPolygon, Polygon | MultiPolygon)
Bounds = tuple[float, float, float, float]


class FilmScale(NamedTuple):
    """Film millimetres for one millimetre of print, along (x) and across (y) the board."""

    along: float = 1.0
    across: float = 1.0

    @property
    def is_true(self) -> bool:
        """Whether the film is as large as its print."""
        return self == (1.0, 1.0)

    @property
    def area(self) -> float:
        """Film mm² for one mm² of print."""
        return self.along * self.across

    def grown(self, area: Area) -> Area:
        """A board area on the film."""
        if self.is_true:
            return area
        return scaled(area, self.along, self.across, origin=(0.0, 0.0))

    def grown_bounds(self, bounds_mm: Bounds) -> Bounds:
        """(least x, least y, greatest x, greatest y) of the board (mm) on the film."""
        least_x, least_y, greatest_x, greatest_y = bounds_mm
        return (least_x * self.along, least_y * self.across,
                greatest_x * self.along, greatest_y * self.across)


def scale_lines(scale: FilmScale, length_mm: float, width_mm: float) -> tuple[str, ...]:
    """The factors in words and figures, a line an axis: per cent, and mm over the print's size.

    None where film and print are of one size.

    Parameters
    ----------
    scale : FilmScale
        The factors.
    length_mm, width_mm : float
        Size of the print (mm).
    """
    if scale.is_true:
        return ()
    return (f"Film along: {_told(scale.along, length_mm)}",
            f"Film across: {_told(scale.across, width_mm)}")


def scale_short(scale: FilmScale) -> str:
    """The film's scale against the board in a few characters: ``1:1``, or a factor an axis."""
    if scale.is_true:
        return "1:1"
    return f"{scale.along:g} along, {scale.across:g} across"


def _told(factor: float, size_mm: float) -> str:
    if factor == 1.0:
        return "as large as the print"
    word, sign = ("larger", "+") if factor > 1 else ("smaller", "−")
    off = abs(factor - 1)
    return f"{word} by {off * 100:.3g} % ({sign}{off * size_mm:.2f} mm over {size_mm:.1f} mm)"
