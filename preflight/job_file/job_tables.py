"""The tables of a job file, as frozen values."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from preflight.frames.film_scale import FilmScale
from preflight.job_file import job_values as v
from preflight.job_file import photo_values as p
from preflight.job_file import time_values as t
from preflight.press.halftone_spec import SmallDots
from preflight.press.stencil_exposure import ExposureTime, exposure_time
from preflight.units import Angle, Length, Resolution, Share, Temperature, TemperatureSwing

Stage = Literal["sheet", "board"]
Side = Literal["top", "base"]
HowPlaced = Literal["fit", "fill", "scale"]
Flip = Literal["none", "along", "across"]
Beneath = Literal["knock out", "overprint"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ArtTable:
    """``[[art]]``: one picture, one sheet of line work or one flat colour, and where it lies.

    ``turn`` is in degrees anticlockwise as the board is seen nose up. Line work is a picture or
    an SVG drawing; a flat colour fills an SVG's shapes, or without a file all of the printed
    area. A drawing goes to one ``ink``, or by ``colours`` to several; under 100 % ``tint`` it is
    screened; with ``white_beneath`` the underbase lies under line work and flats, too.
    ``opacity`` names a grey picture: where it is black the photo is absent. With ``fill_edges`` its
    edge pixels are repeated beyond its edge, as far as a bleed reaches; with ``bare_wood_around``
    wood without a photo is meant. ``crop_left`` and its like cut a side off before it is placed.
    A photo's ``exposure`` is in stops; ``curve`` has pairs of tone before and after, in percent;
    ``grey`` weighs red, green and blue light where colours are to become greys.
    With ``accept_damage`` what is left of a damaged picture is read; else it is refused.
    ``page`` says which page of a PDF or TIFF is meant, ``page_box`` to which box a PDF's is read.
    """

    file: v.Text = ""
    kind: Literal["photo", "line", "flat"] = "photo"
    colours: v.ColourInks | None = None
    tint: v.ShareValue = Share(1.0, "100 %")
    font: v.Text | None = None
    opacity: v.Text | None = None
    place: HowPlaced = "fill"
    width: v.ArtWidth | None = None
    resolution: v.ArtResolution | None = None
    offset_along: v.Offset = Length(0.0, "0 mm")
    offset_across: v.Offset = Length(0.0, "0 mm")
    turn: v.AngleValue = Angle(0.0, "0°")
    flip: Flip = "none"
    crop_left: v.ShareValue = Share(0.0, "0 %")
    crop_right: v.ShareValue = Share(0.0, "0 %")
    crop_top: v.ShareValue = Share(0.0, "0 %")
    crop_bottom: v.ShareValue = Share(0.0, "0 %")
    ink: v.Text | None = None
    beneath: Beneath = "knock out"
    white_beneath: v.YesOrNo = False
    fill_edges: v.YesOrNo = False
    bare_wood_around: v.YesOrNo = False
    exposure: p.Stops = 0.0
    contrast: p.Contrast = 0.0
    saturation: p.Saturation = 1.0
    curve: p.PhotoCurve = ()
    grey: p.GreyWeights | None = None
    accept_damage: v.YesOrNo = False
    page: v.PageNumber | None = None
    page_box: v.PageBox = "crop box"


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteTable:
    """``[[note]]``: short lettering on the board, with a line to what it tells of.

    ``at`` is the point it tells of, x towards the nose and y to the left of the nose-up board.
    The middle of the lettering lies at ``label_at``, or ``label_offset`` from the point.
    ``cap_height`` or ``type_size`` says how large it is; ``turn`` is that of ``[[art]]``: at 90
    it reads towards the nose. ``leader`` and ``dot`` are the widths of line and dot, 0 for none.
    """

    text: v.Text
    at: v.BoardPoint
    ink: v.Text
    label_at: v.BoardPoint | None = None
    label_offset: v.BoardPoint | None = None
    cap_height: v.TypeLength | None = None
    type_size: v.TypeLength | None = None
    turn: v.AngleValue = Angle(90.0, "90°")
    leader: v.LineLength = Length(0.4, "0.4 mm")
    dot: v.LineLength = Length(1.2, "1.2 mm")
    beneath: Beneath = "knock out"
    font: v.Text | None = None

    @property
    def label_mm(self) -> tuple[float, float]:
        """Where the middle of the lettering lies (x, y in board mm)."""
        at_x, at_y = self.at
        if self.label_at is not None:
            return self.label_at[0].mm, self.label_at[1].mm
        if self.label_offset is None:
            return at_x.mm, at_y.mm
        return at_x.mm + self.label_offset[0].mm, at_y.mm + self.label_offset[1].mm


@dataclass(frozen=True, slots=True, kw_only=True)
class SeparationTable:
    """``[separation]``: how the photograph becomes inks.

    ``adaptation`` is how far the eye takes the wood for white, ``rendering`` how colours are
    brought in that no ink reaches.
    ``underbase_strength`` is the most film tone that an underbase may have.
    ``trap`` is how far the photograph's inks run under knocked-out line work, so that no wood
    shows beside it when films do not fall on each other exactly.
    """

    tone_sum_limit: v.ToneSum = Share(2.6, "260 %")
    rendering: p.RenderingValue = "balanced"
    adaptation: v.Fraction = 0.5
    underbase_strength: p.Strength = Share(1.0, "100 %")
    black_ink: v.Text | None = None
    black_generation: v.Fraction = 0.5
    small_dots: SmallDots = "thin"
    trap: v.SmallLength = Length(0.25, "0.25 mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class HalftoneTable:
    """``[halftone]``: what every ink uses unless it says otherwise.

    ``tone_curve`` tells how film tones print: measured pairs in percent, ``straight``, or
    ``published`` (a published screen printing line, until the shop's own wedge is measured).
    ``tone_curve_tells`` says what the printed tones of pairs are: the ``area`` that dots cover, or
    the ``tone value`` that a densitometer makes of them (Murray-Davies, ISO 12647-1).
    ``stochastic_dot`` is the least width of stochastic dots and of the gaps between them; where
    it is not given, two threads of the mesh carry it.
    """

    ruling: v.RulingValue
    dot_shape: v.DotShapeName = "elliptical"
    smallest_tone: v.ShareValue | None = None
    largest_tone: v.ShareValue | None = None
    stochastic_dot: v.DotLength | None = None
    tone_curve: v.CurveValue = "published"
    tone_curve_tells: Literal["area", "tone value"] = "area"


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshTable:
    """``[mesh]`` or an ink's own ``mesh``: the cloth, and its maker's figures if known.

    ``exposed`` is how long a stencil on it was exposed, ``solid_step`` the last step of a 21-step
    transmission scale that then stayed solid; ``emulsion_over_mesh`` the height of its stencils
    above the cloth.
    """

    count: v.MeshCountValue
    thread: v.ThreadLength
    angle: v.AngleValue = Angle(0.0, "0°")
    opening: v.ThreadLength | None = None
    fabric_thickness: v.ThreadLength | None = None
    ink_volume: v.InkVolume | None = None
    emulsion_over_mesh: v.EmulsionHeight | None = None
    exposed: t.LampValue | None = None
    solid_step: v.ScaleStep | None = None

    @property
    def exposure(self) -> ExposureTime | None:
        """How long to expose a stencil on it, where the job has a reading."""
        if self.exposed is None or self.solid_step is None:
            return None
        return exposure_time(self.exposed.seconds, self.solid_step)


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmTable:
    """``[film]``: what the film printer can do and how the films are to read.

    ``also`` asks for more than the film PDFs: films as TIFF or PNG, unscreened grey separations,
    and a composite of all inks. ``scale_along`` and ``scale_across`` make films larger or smaller
    than the print, to make up for film that grows and mesh that gives way. ``panels`` lets a film
    that does not fit the printer be made in parts that overlap. ``marks`` are those of the press
    strip; left out, all of them where film and frame have the room.
    """

    resolution: v.FilmResolution = Resolution(1440.0, "1440 dpi")
    width: v.SheetLength = Length(610.0, "61 cm")
    length: v.SheetLength = Length(30_000.0, "30 m")
    reading: Literal["right-reading", "mirrored"] = "right-reading"
    coding: Literal["group4", "deflate"] = "group4"
    also: v.AlsoWanted = ()
    marks: v.MarksWanted | None = None
    scale_along: v.FilmFactor = 1.0
    scale_across: v.FilmFactor = 1.0
    panels: v.YesOrNo = False
    panel_overlap: v.PanelOverlap = Length(15.0, "15 mm")

    @property
    def scale(self) -> FilmScale:
        """How much larger the films are than the print."""
        return FilmScale(self.scale_along, self.scale_across)


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameTable:
    """``[frame]``: the screen frame's clear inside, and the mesh to leave free round the art.

    ``off_contact`` is the gap between mesh and board at mid-length, ``press_down`` the widest gap
    over which the squeegee still lays the mesh on the board.
    ``stroke`` says whether the squeegee is drawn along the board or across it, ``squeegee`` how
    long its blade is. ``pins`` are the places of a register bar's pins or of tape tabs, as places
    on the board are told.
    """

    inside_length: v.SheetLength
    inside_width: v.SheetLength
    free_ends: v.SmallLength = Length(100.0, "100 mm")
    free_sides: v.SmallLength = Length(75.0, "75 mm")
    off_contact: v.SmallLength = Length(3.0, "3 mm")
    press_down: v.SmallLength = Length(6.0, "6 mm")
    stroke: Literal["along", "across"] = "along"
    squeegee: v.SheetLength | None = None
    pins: v.Pins = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RegisterTable:
    """``[register]``: what may put one ink beside another.

    The swings are the greatest differences between one film, screen or hit and the next.
    Defaults: common practice, no source, in an unconditioned room.
    """

    temperature_swing: v.TemperatureSwingValue = TemperatureSwing(3.0, "3 °C")
    humidity_swing: v.ShareValue = Share(0.10, "10 %")
    placement: v.SmallLength = Length(0.15, "0.15 mm")
    off_contact_swing: v.SmallLength = Length(1.0, "1 mm")
    registered_at: Literal["middle", "tail end"] = "middle"


@dataclass(frozen=True, slots=True, kw_only=True)
class PressTable:
    """``[press]``: the hot press that bonds a printed sheet to its board.

    ``ink_height_limit`` is the most wet ink that may lie on each other anywhere; the resin's and
    the inks' data sheets decide. The default is own rule, no source.
    """

    temperature: v.HeatValue = Temperature(85.0, "85 °C")
    ink_height_limit: v.InkHeight = Length(0.06, "60 µm")


@dataclass(frozen=True, slots=True, kw_only=True)
class InkTable:
    """``[[ink]]``: one ink, in print order, with its colour, halftone, mesh and weight.

    Its colour is a named one (``colour``), or CIELAB over white with an opacity, or CIELAB over
    white and over black, or a file of its ``reflectance``. With ``prints = "line work"`` it takes
    no part in the photograph; an ``underbase`` is printed first, where the photograph's inks gain
    by it, a ``highlight white`` last, where the photograph is lighter than the wood.
    ``choke`` draws the ink in at its edges (0.3 mm for an underbase, else nothing). It must not be
    printed on the inks named in ``not_over``. Cured by ``"uv"`` it dries to nearly all of its
    height, dried by ``"air"`` to less; ``solids`` says how much. ``dries_in`` and ``dries_through``
    are its times until the next hit, and until it may be turned over, sanded, varnished or pressed.
    """

    name: v.Text
    colour: v.Text | None = None
    over_white: v.Lab | None = None
    over_black: v.Lab | None = None
    reflectance: v.Text | None = field(default=None, repr=False)
    opacity: v.Fraction | None = None
    prints: Literal["photo", "line work", "underbase", "highlight white"] = "photo"
    choke: v.SmallLength | None = None
    angle: v.AngleValue
    ruling: v.RulingValue | None = None
    dot_shape: v.DotShapeName | None = None
    stochastic_dot: v.DotLength | None = None
    tone_curve: v.CurveValue | None = None
    mesh: MeshTable | None = None
    density: v.Density = 1.2
    heat_limit: v.HeatValue | None = None
    left_in_screen: v.VolumeMl | None = None
    not_over: v.InkNames = ()
    cure: Literal["uv", "air"] = "uv"
    solids: v.ShareValue | None = None
    dries_in: t.WaitingValue | None = None
    dries_through: t.WaitingValue | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DayTable:
    """``[day]``: how the press day goes.

    ``first_side`` is printed before the other where both sides' jobs are planned together.
    ``screens`` is how many frames the shop can have hung at a time; left out, one for each hit.
    """

    first_side: Side = "base"
    screens: v.Screens | None = None
