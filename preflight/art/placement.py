"""Where a picture lies on the board: from art pixels to board millimetres and back.

At turn 0 the art stands upright on the board seen nose up: its top points to the nose (+x) and
its right edge to the right of the board (−y). ``turn_deg`` turns it anticlockwise from there, as
seen on the printed side: at 90 the art's top points left (+y) and **its right edge to the nose**,
which is how a landscape photograph usually lies along a board. ``art_up`` says the quarter turn in
words; the two add up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from preflight.input_problem import InputProblem
from preflight.units import MM_PER_INCH

HowPlaced = Literal["fit", "fill", "scale"]
Flip = Literal["none", "along", "across"]
ArtUp = Literal["nose", "left", "tail", "right"]
#: The quarter turn (degrees anticlockwise) that points the art's top that way, nose up.
TURN_OF_ART_UP: dict[ArtUp, float] = {"nose": 0.0, "left": 90.0, "tail": 180.0, "right": 270.0}
Bounds = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """What the artist asked for.

    Attributes
    ----------
    how : HowPlaced
        ``fit``: as large as lies whole within the bounds; ``fill``: as small as covers all of
        them; ``scale``: as ``art_width_mm`` or ``ppi`` says. Fit and fill are reckoned for the
        turned art centred on the bounds, before any offset.
    art_width_mm, ppi : float or None
        For ``scale``, one of them: the art's own width (along its pixel rows) on the board in
        mm, or its pixels per inch there.
    offset_x_mm, offset_y_mm : float
        Moves the art's centre from the bounds' centre: + x to the nose, + y to the left.
    turn_deg : float
        Degrees anticlockwise, added to what ``art_up`` says.
    flip : Flip
        A mirror image, made after the turn and before the offset: ``across`` changes left for
        right (y), ``along`` nose for tail (x).
    art_up : ArtUp
        Where the art's top points on the board seen nose up.
    """

    how: HowPlaced = "fill"
    art_width_mm: float | None = None
    ppi: float | None = None
    offset_x_mm: float = 0.0
    offset_y_mm: float = 0.0
    turn_deg: float = 0.0
    flip: Flip = "none"
    art_up: ArtUp = "nose"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedArt:
    """A picture on the board.

    Art pixel coordinates (u, v) run right and down from the art's top left corner; pixel (0, 0)
    spans 0 to 1 in both.

    Attributes
    ----------
    width_px, height_px : float
        The art's size; whole pixels for a picture.
    mm_per_px : float
        Side of an art pixel on the board (mm).
    turn_deg : float
        The whole turn, 0 to below 360.
    flip : Flip
        The mirror image, if any.
    xu, xv, x0, yu, yv, y0 : float
        x = xu u + xv v + x0 and y = yu u + yv v + y0, in mm.
    """

    width_px: float
    height_px: float
    mm_per_px: float
    turn_deg: float
    flip: Flip
    xu: float
    xv: float
    x0: float
    yu: float
    yv: float
    y0: float

    @property
    def ppi(self) -> float:
        """Effective art pixels per inch on the board."""
        return MM_PER_INCH / self.mm_per_px

    @property
    def is_right_angled(self) -> bool:
        """Whether art rows run exactly along or across the board."""
        return (self.xu == 0.0) != (self.xv == 0.0)

    @property
    def to_board(self) -> NDArray[np.float64]:
        """The 3 × 3 matrix from (u, v, 1) to (x, y, 1)."""
        return np.array([[self.xu, self.xv, self.x0], [self.yu, self.yv, self.y0], [0, 0, 1.0]])

    @property
    def to_art(self) -> NDArray[np.float64]:
        """The 3 × 3 matrix from (x, y, 1) to (u, v, 1)."""
        # Turn and mirror are orthogonal: the inverse is the transpose, over the scale squared.
        square = self.mm_per_px**2
        uv = np.array([[self.xu, self.yu], [self.xv, self.yv]]) / square
        shift = -uv @ np.array([self.x0, self.y0])
        return np.array([[*uv[0], shift[0]], [*uv[1], shift[1]], [0, 0, 1.0]])

    def board_of(self, uv_px: NDArray[np.float64]) -> NDArray[np.float64]:
        """Board x, y (mm), shape (..., 2), of art pixel coordinates (..., 2)."""
        matrix = self.to_board
        return np.asarray(uv_px @ matrix[:2, :2].T + matrix[:2, 2])

    @property
    def polygon(self) -> Polygon:
        """The art's edge on the board (mm)."""
        w, h = float(self.width_px), float(self.height_px)
        corners = np.array([[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]])
        return Polygon(self.board_of(corners))

    def reaching(self, beyond_mm: float) -> Polygon:
        """The art's edge on the board (mm), moved outwards by ``beyond_mm`` on every side."""
        return self.polygon.buffer(beyond_mm, join_style="mitre") if beyond_mm else self.polygon


def place(art_width_px: float, art_height_px: float, bounds_mm: Bounds, placement: Placement,
          where: str = "art") -> PlacedArt:
    """Lay the art on the board.

    Parameters
    ----------
    art_width_px, art_height_px : float
        The art as it is looked at.
    bounds_mm : tuple of float
        (least x, least y, greatest x, greatest y) of the printed area in board mm.
    placement : Placement
        What was asked for.
    where : str
        What an `InputProblem` names before the key.

    Raises
    ------
    InputProblem
        When ``scale`` lacks a sound width or ppi, or a number is not finite.
    """
    for key, value in (("turn", placement.turn_deg), ("offset", placement.offset_x_mm),
                       ("offset", placement.offset_y_mm)):
        if not math.isfinite(value):
            raise InputProblem(where=f"{where}.{key}", found=f"{value}",
                               would_do="a finite number")
    turn = math.fmod(TURN_OF_ART_UP[placement.art_up] + placement.turn_deg, 360.0)
    turn = (turn + 360.0 if turn < 0.0 else turn) % 360.0
    cos, sin = _cos_sin(turn)
    length, width = bounds_mm[2] - bounds_mm[0], bounds_mm[3] - bounds_mm[1]
    if placement.how == "scale":
        scale = _asked_scale(art_width_px, placement, where)
    elif placement.how == "fit":
        scale = min(length / (art_width_px * abs(sin) + art_height_px * abs(cos)),
                    width / (art_width_px * abs(cos) + art_height_px * abs(sin)))
    else:  # the bounds, seen along the art's own sides, must fit inside the art
        scale = max((length * abs(sin) + width * abs(cos)) / art_width_px,
                    (length * abs(cos) + width * abs(sin)) / art_height_px)
    along = -1.0 if placement.flip == "along" else 1.0
    across = -1.0 if placement.flip == "across" else 1.0
    # Upright, u runs along −y and v along −x; the turn takes (x, y) to (cx − sy, sx + cy).
    xu, xv = along * sin * scale, along * -cos * scale
    yu, yv = across * -cos * scale, across * -sin * scale
    centre_x = (bounds_mm[0] + bounds_mm[2]) / 2 + placement.offset_x_mm
    centre_y = (bounds_mm[1] + bounds_mm[3]) / 2 + placement.offset_y_mm
    half_u, half_v = art_width_px / 2, art_height_px / 2
    return PlacedArt(
        width_px=art_width_px, height_px=art_height_px, mm_per_px=scale, turn_deg=turn,
        flip=placement.flip, xu=xu + 0.0, xv=xv + 0.0, yu=yu + 0.0, yv=yv + 0.0,
        x0=centre_x - xu * half_u - xv * half_v, y0=centre_y - yu * half_u - yv * half_v)


def _asked_scale(art_width_px: float, placement: Placement, where: str) -> float:
    """Millimetres a pixel, from the width or the ppi asked for."""
    if (placement.art_width_mm is None) == (placement.ppi is None):
        found = "neither width nor ppi" if placement.ppi is None else "both width and ppi"
        raise InputProblem(where=f"{where}.width", found=found, would_do="one of the two")
    asked = placement.ppi if placement.art_width_mm is None else placement.art_width_mm
    if asked is None or not (math.isfinite(asked) and asked > 0.0):
        key = "ppi" if placement.art_width_mm is None else "width"
        raise InputProblem(where=f"{where}.{key}", found=f"{asked}",
                           would_do="a number above zero")
    return MM_PER_INCH / asked if placement.art_width_mm is None else asked / art_width_px


def _cos_sin(turn_deg: float) -> tuple[float, float]:
    """Cosine and sine, exact at quarter turns."""
    quarter = turn_deg / 90.0
    if quarter == math.floor(quarter):
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter) % 4]
    return math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
