"""What the report may show besides its figures: pictures of the board, and further tables."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from preflight.findings import Place


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportPicture:
    """A picture for the page.

    Attributes
    ----------
    title : str
        A few words over it.
    alt : str
        What a reader who cannot see it should know.
    caption : str
        The line beneath it.
    data : bytes
        PNG, JPEG or SVG.
    media_type : str
        Which of them.
    at_dot_level : bool
        Whether single dots are to be seen: it is not smoothed when enlarged.
    place : Place or None
        What it shows of the board; None for all of it.
    is_wide : bool
        Whether it is shown as wide as the page.
    """

    title: str
    alt: str
    caption: str
    data: bytes
    media_type: Literal["image/png", "image/jpeg", "image/svg+xml"]
    at_dot_level: bool = False
    place: Place | None = None
    is_wide: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportTable:
    """A further table for the page, its cells as shown.

    Attributes
    ----------
    title : str
        The heading over it.
    heads : tuple of str
        One for each column; a head led by ``#`` makes its column one of figures.
    rows : tuple of tuple of str
        As many cells in each row as there are heads.
    note : str
        A sentence beneath the title; may be empty.
    """

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""

    def __post_init__(self) -> None:
        """See that every row fits the heads.

        Raises
        ------
        ValueError
            When a row has more or fewer cells than there are heads.
        """
        if any(len(row) != len(self.heads) for row in self.rows):
            raise ValueError("a row of the table does not fit its heads")


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmLayer:
    """One ink's plane as a picture to lay on the wood.

    Attributes
    ----------
    ink : str
        Its name.
    data : bytes
        A grey JPEG, nose to the right: white where the ink does not print, black where it is
        solid (the reverse for an ink that lightens the wood).
    srgb : tuple of int
        What the solid does to the wood, 0 to 255: the factor of an ink that darkens it, the
        lift of one that lightens it.
    lightens : bool
        Whether the ink is lighter than the wood beneath it.
    """

    ink: str
    data: bytes
    srgb: tuple[int, int, int]
    lightens: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardViews:
    """The board's pictures, all over the same rectangle.

    Attributes
    ----------
    proof : ReportPicture
        The board as it will look, nose to the right.
    frame : Place
        The rectangle that proof and layers show, in board mm.
    trims : tuple of tuple of tuple of float
        The board's edge as x, y points (mm); of a gang each piece's.
    wood_srgb : tuple of int
        The bare wood, 0 to 255.
    solids_srgb : tuple of tuple of int
        The solid of each ink on the wood, 0 to 255, in print order.
    layers : tuple of FilmLayer
        In print order.
    near : tuple of ReportPicture
        Close views at dot level, each with its place.
    """

    proof: ReportPicture
    frame: Place
    trims: tuple[tuple[tuple[float, float], ...], ...]
    wood_srgb: tuple[int, int, int]
    solids_srgb: tuple[tuple[int, int, int], ...]
    layers: tuple[FilmLayer, ...]
    near: tuple[ReportPicture, ...]
