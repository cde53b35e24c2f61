"""All that a check may see: the job, the board, the art on it, and the measured tones."""

from __future__ import annotations

from dataclasses import dataclass

from preflight.art.artwork import Artwork
from preflight.art.placement import PlacedArt
from preflight.board.board_outline import BoardOutline
from preflight.board.topsheet_area import TopsheetArea
from preflight.findings import Place
from preflight.hold_facts import HoldFacts
from preflight.job_file.job import Job
from preflight.job_file.job_tables import ArtTable
from preflight.layer_facts import LayerFacts
from preflight.tone_facts import ToneFacts


@dataclass(frozen=True, slots=True, kw_only=True)
class ArtOnBoard:
    """One artwork where it lies."""

    table: ArtTable
    artwork: Artwork
    placed: PlacedArt


@dataclass(frozen=True, slots=True, kw_only=True)
class LineFacts:
    """One sheet of line work, measured: what of it lies outside the safe area.

    Attributes
    ----------
    file : str
        The artwork.
    mm2_beyond_safe : float
        Inked area between the safe area and the end of the printed one (mm²).
    place_beyond_safe : Place or None
        Where most of it lies.
    """

    file: str
    mm2_beyond_safe: float
    place_beyond_safe: Place | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Submission:
    """What is handed to the checks.

    Attributes
    ----------
    film_length_mm, film_width_mm : float
        Size of a film with its marks (mm).
    tones : ToneFacts or None
        Measured on the separation; None when there is no photograph.
    profiled : tuple of str
        Inks whose tone curve was measured on this press.
    lines : tuple of LineFacts
        Measured on the line work.
    hold : HoldFacts or None
        Measured on the films' own bits, against the meshes.
    layers : LayerFacts or None
        Heights of the inks on each other.
    """

    job: Job
    outline: BoardOutline
    area: TopsheetArea
    art: tuple[ArtOnBoard, ...]
    film_length_mm: float
    film_width_mm: float
    tones: ToneFacts | None
    profiled: tuple[str, ...] = ()
    lines: tuple[LineFacts, ...] = ()
    hold: HoldFacts | None = None
    layers: LayerFacts | None = None


def place_of(bounds_mm: tuple[float, float, float, float]) -> Place:
    """A shapely bounding box as a place on the board."""
    least_x, least_y, greatest_x, greatest_y = bounds_mm
    return Place(least_x_mm=least_x, least_y_mm=least_y,
                 greatest_x_mm=greatest_x, greatest_y_mm=greatest_y)
