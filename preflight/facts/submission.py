"""All that a check may see: the job, the board, the art on it, and the measured tones."""

from __future__ import annotations

from dataclasses import dataclass, field

from shapely import Polygon

from preflight.art.art_plane import EDGE_FILL_MM
from preflight.art.artwork import Artwork
from preflight.art.placement import PlacedArt
from preflight.board.board_outline import BoardOutline
from preflight.board.fittings import Fittings, LineKeptOff
from preflight.board.topsheet_area import TopsheetArea
from preflight.facts.figure_facts import RestingFigure
from preflight.facts.ink_height_facts import LayerFacts
from preflight.facts.mesh_hold_facts import HoldFacts
from preflight.facts.moire_facts import MoireFacts, RosetteFacts
from preflight.facts.profile_facts import ProfileDifference, VarnishFacts
from preflight.facts.tone_facts import ToneFacts
from preflight.facts.track_facts import CameraFacts, TrackFacts
from preflight.findings import Place
from preflight.job_file.job import Job
from preflight.job_file.job_tables import ArtTable
from preflight.photo_quality.damage_facts import DamageFacts
from preflight.photo_quality.photo_facts import PhotoFacts
from preflight.press.seen_print import UNSEEN, SeenPrint


@dataclass(frozen=True, slots=True, kw_only=True)
class ArtOnBoard:
    """One artwork where it lies.

    Attributes
    ----------
    order : int
        Its place among the job's artworks, from 0.
    table, artwork, placed
        What the job says of it, what it is, and where it lies.
    """

    order: int
    table: ArtTable
    artwork: Artwork
    placed: PlacedArt

    @property
    def fill_reach_mm(self) -> float:
        """How far the art's edge pixels are repeated beyond its edge (mm)."""
        return EDGE_FILL_MM if self.table.fill_edges else 0.0

    @property
    def printed_polygon(self) -> Polygon:
        """Where the art prints (board mm): itself, and the edge pixels that are repeated."""
        return self.placed.reaching(self.fill_reach_mm)


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
    wholly_off : bool
        Whether none of it lies within the printed area.
    is_blank : bool
        Whether the picture reaches the printed area, but nothing is drawn on it there.
    ink : str
        What prints it.
    stands_out, ink_lightness, ground_lightness, place_faint
        As `DrawingFacts` has them; of nine tenths of its inked area.
    """

    file: str
    mm2_beyond_safe: float
    place_beyond_safe: Place | None
    wholly_off: bool = False
    is_blank: bool = False
    ink: str = ""
    stands_out: float | None = None
    ink_lightness: float = 0.0
    ground_lightness: float = 0.0
    place_faint: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingFacts:
    """One drawing, flat colour, line or note in one ink, measured.

    Attributes
    ----------
    subject, kind, ink : str
        What it is called, its kind as `DrawnArt` has it, and what prints it.
    finest_um : float
        Least line that its mesh and film hold (µm).
    thin_mm2, tight_mm2 : float
        Area of its lines, and of its gaps, that are narrower than that (mm²).
    place_thin, place_tight : Place or None
        Where.
    mm2_beyond_safe : float
        Its area between the safe area and the end of the printed one, or beyond (mm²).
    place_beyond_safe : Place or None
        Where.
    type_pt : float
        Type size (pt) of a note or of a line's name; 0 for all else.
    meets : tuple of str
        Notes that touch this note.
    stands_out : float or None
        Difference of L* from the ground that all but a tenth of its outline keeps; None where
        it was not measured.
    ink_lightness, ground_lightness : float
        CIELAB L* of the drawing and of its ground along that tenth.
    place_faint : Place or None
        Where that tenth lies.
    wholly_off : bool
        Whether none of the drawing or note, in any ink, lies within the printed area.
    """

    subject: str
    kind: str
    ink: str
    finest_um: float
    thin_mm2: float
    tight_mm2: float
    place_thin: Place | None
    place_tight: Place | None
    mm2_beyond_safe: float
    place_beyond_safe: Place | None
    type_pt: float = 0.0
    meets: tuple[str, ...] = ()
    stands_out: float | None = None
    ink_lightness: float = 0.0
    ground_lightness: float = 0.0
    place_faint: Place | None = None
    wholly_off: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ProfiledInk:
    """What one of the job's inks was printed with when its press profile was measured.

    Attributes
    ----------
    name : str
        The ink.
    threads_per_cm, thread_um, ruling_lpcm : float or None
        The cloth's count and thread (µm), and the halftone's lines per cm; None where the
        profile does not tell.
    seen : SeenPrint
        What was seen of its print.
    """

    name: str
    threads_per_cm: float | None
    thread_um: float | None
    ruling_lpcm: float | None
    seen: SeenPrint = UNSEEN


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
    profile_differences : tuple of ProfileDifference
        What job and press profile both tell.
    varnish : VarnishFacts or None
        The varnish that the press profile was read under; None where it has no colours.
    profile_inks : tuple of ProfiledInk
        The job's inks that its press profile has.
    lines : tuple of LineFacts
        Measured on the line work.
    moire : tuple of MoireFacts
        Measured on simulated prints.
    fittings : Fittings
        The pressed board's shape, and what is fixed to the board or must be seen on it.
    lines_kept_off : tuple of LineKeptOff
        Line work that runs into holes and keep-outs.
    photos : tuple of PhotoFacts
        Measured on the photographs' own pixels.
    drawings : tuple of DrawingFacts
        Measured on drawings, flat colours, lines and notes.
    hold : HoldFacts or None
        Measured on the films' own bits, against the meshes.
    layers : LayerFacts or None
        Heights of the inks on each other.
    rosettes : tuple of RosetteFacts
        Three inks whose rows close to a triangle.
    figures : tuple of RestingFigure
        What proof, films and ink rest on.
    damage : tuple of DamageFacts
        Pictures that are not as they were saved, or look so.
    cameras : tuple of CameraFacts
        Cameras of the photos that tracks lie on.
    tracks : tuple of TrackFacts
        Recorded tracks as they are drawn.
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
    moire: tuple[MoireFacts, ...] = ()
    fittings: Fittings = field(default_factory=Fittings)
    lines_kept_off: tuple[LineKeptOff, ...] = ()
    photos: tuple[PhotoFacts, ...] = ()
    drawings: tuple[DrawingFacts, ...] = ()
    hold: HoldFacts | None = None
    layers: LayerFacts | None = None
    profile_inks: tuple[ProfiledInk, ...] = ()
    profile_differences: tuple[ProfileDifference, ...] = ()
    varnish: VarnishFacts | None = None
    rosettes: tuple[RosetteFacts, ...] = ()
    figures: tuple[RestingFigure, ...] = ()
    damage: tuple[DamageFacts, ...] = ()
    cameras: tuple[CameraFacts, ...] = ()
    tracks: tuple[TrackFacts, ...] = ()


def place_of(bounds_mm: tuple[float, float, float, float]) -> Place:
    """A shapely bounding box as a place on the board."""
    least_x, least_y, greatest_x, greatest_y = bounds_mm
    return Place(least_x_mm=least_x, least_y_mm=least_y,
                 greatest_x_mm=greatest_x, greatest_y_mm=greatest_y)
