"""A film as it was counted, written and read back: what reports may say of it."""

from __future__ import annotations

from dataclasses import dataclass

from preflight.job_file.job_tables import InkTable


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelMade:
    """One panel of a film that does not fit the printer, as read back.

    Attributes
    ----------
    number : int
        From 1, left to right and from the nose.
    told : str
        Which it is, in words.
    file : str
        Path inside the output folder.
    rows, columns : int
        Size of its image in film pixels.
    first_row, first_column : int
        Where that begins in the whole film's image.
    page_length_mm, page_width_mm : float
        Size of the panel with its marks (mm).
    sha256 : str
        Of the file.
    """

    number: int
    told: str
    file: str
    rows: int
    columns: int
    first_row: int
    first_column: int
    page_length_mm: float
    page_width_mm: float
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmMade:
    """One film, as counted and read back.

    Attributes
    ----------
    order : int
        Print order, from 1.
    ink : InkTable
        Its ink.
    file : str
        Path inside the output folder; the first panel's for a film in panels.
    rows, columns : int
        Size of the whole image in film pixels.
    page_length_mm, page_width_mm : float
        Size of the whole film with its marks (mm).
    inked_mm2 : float
        Area of all its dots as they print, inside the printed area (mm²).
    mean_tone : float
        That over the printed area (0 to 1).
    sha256 : str
        Of the file.
    solid_srgb : tuple of int
        Colour of the solid on this wood, 0 to 255.
    panels : tuple of PanelMade
        Its panels; none for a film in one piece.
    """

    order: int
    ink: InkTable
    file: str
    rows: int
    columns: int
    page_length_mm: float
    page_width_mm: float
    inked_mm2: float
    mean_tone: float
    sha256: str
    solid_srgb: tuple[int, int, int]
    panels: tuple[PanelMade, ...] = ()
