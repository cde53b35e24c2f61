"""What a run has made and measured: all that the report and the operator's sheet may show."""

from __future__ import annotations

from dataclasses import dataclass

from preflight.findings import Finding
from preflight.job_file.job_tables import InkTable
from preflight.submission import Submission
from separations.ink_need.ink_estimate import InkEstimate
from separations.report.report_pictures import ReportPicture, ReportTable


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Overprint:
    """The colour of solids printed on each other.

    Attributes
    ----------
    inks : tuple of str
        In print order; none for the bare wood.
    lab : tuple of float
        CIELAB, D50, 2°.
    srgb : tuple of int
        For a screen, 0 to 255.
    measured : bool
        Whether it was read from a print; else it is an estimate from the inks' solids.
    """

    inks: tuple[str, ...]
    lab: tuple[float, float, float]
    srgb: tuple[int, int, int]
    measured: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourReach:
    """How near the print can come to the photograph, over the printed area.

    Attributes
    ----------
    share_out : float
        Share (0 to 1) of the photo whose mapped colour lies outside what the inks reach.
    mean_de00, p95_de00, greatest_de00 : float
        CIEDE2000 between what is aimed at and what the inks give.
    bare_wood_share : float
        Share (0 to 1) of the printed area that carries no ink at all.
    overprints : tuple of Overprint
        The wood, the solids and their overprints, fewest inks first.
    """

    share_out: float
    mean_de00: float
    p95_de00: float
    greatest_de00: float
    bare_wood_share: float
    overprints: tuple[Overprint, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """A run's result.

    Attributes
    ----------
    films : tuple of FilmMade
        Empty when they were withheld or not asked for.
    withheld : bool
        Whether a stop finding kept the films from being made.
    remarks : tuple of str
        What was taken for granted when reading outline and art.
    extra_pictures, extra_tables : tuple of ReportPicture, tuple of ReportTable
        What checks and other steps add to the page, in the order of the page.
    """

    submission: Submission
    findings: tuple[Finding, ...]
    films: tuple[FilmMade, ...]
    withheld: bool
    estimates: tuple[InkEstimate, ...]
    colour: ColourReach | None
    remarks: tuple[str, ...] = ()
    extra_pictures: tuple[ReportPicture, ...] = ()
    extra_tables: tuple[ReportTable, ...] = ()
