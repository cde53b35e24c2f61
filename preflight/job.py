"""The whole job, told once: what a job file says, as frozen values."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from preflight import job_values as v
from preflight.halftone_spec import DotShape, HalftoneSpec, SmallDots, tone_of_dot
from preflight.mesh import Mesh
from preflight.units import UM_PER_CM, Angle, Length, Resolution, Ruling, Share, Temperature

TipShape = Literal["round", "blunt", "pointed"]
Stage = Literal["sheet", "board"]
HowPlaced = Literal["fit", "fill", "scale"]
Flip = Literal["none", "along", "across"]
Rendering = Literal["paper-relative", "absolute", "keep-saturation"]
#: Common practice, no source: a little more than hand register on one frame holds.
UNDERBASE_CHOKE_MM = 0.3
#: Threads that carry a stochastic dot unless the job sets its size: every dot of such a film is a
#: smallest dot. Trade handbooks (1.5 to 2 thread pitches), from memory, unverified.
STOCHASTIC_THREADS = 2.0
Beneath = Literal["knock out", "overprint"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardTable:
    """``[board]``: an outline by numbers, or a file with a table of points."""

    name: v.Text
    outline: v.Text | None = None
    outline_unit: Literal["mm", "cm", "in"] = "mm"
    outline_smooth: v.YesOrNo = False
    length: v.BoardLength | None = None
    contact_length: v.BoardLength | None = None
    nose_width: v.BoardWidth | None = None
    waist_width: v.BoardWidth | None = None
    tail_width: v.BoardWidth | None = None
    taper: v.Offset | None = None
    setback: v.Offset = Length(0.0, "0 mm")
    nose_shape: TipShape = "round"
    tail_shape: TipShape = "round"


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaTable:
    """``[area]``: how far the ink runs past, or stays within, the trim.

    ``edge_dots`` that are ``whole`` print or not by where their middles lie, and reach past the
    edge by less than a halftone cell; else the edge cuts them.
    """

    bleed: v.SmallLength = Length(8.0, "8 mm")
    safety_margin: v.SmallLength = Length(8.0, "8 mm")
    edge_margin: v.SmallLength = Length(3.0, "3 mm")
    edge_dots: Literal["cut", "whole"] = "cut"


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodTable:
    """``[wood]``: the colour of the bare face, and how thirsty it is."""

    name: v.Text = "bamboo"
    lab: v.Lab = (74.0, 6.0, 26.0)
    absorption: v.ShareValue = Share(0.15, "15 %")
    figure_seed: v.Seed = 158


@dataclass(frozen=True, slots=True, kw_only=True)
class ArtTable:
    """``[[art]]``: one picture, or one sheet of line work, and where it lies.

    ``turn`` is in degrees anticlockwise as the board is seen nose up.
    """

    file: v.Text
    kind: Literal["photo", "line"] = "photo"
    place: HowPlaced = "fill"
    width: v.ArtWidth | None = None
    resolution: v.ArtResolution | None = None
    offset_along: v.Offset = Length(0.0, "0 mm")
    offset_across: v.Offset = Length(0.0, "0 mm")
    turn: v.AngleValue = Angle(0.0, "0°")
    flip: Flip = "none"
    ink: v.Text | None = None
    beneath: Beneath = "knock out"


@dataclass(frozen=True, slots=True, kw_only=True)
class SeparationTable:
    """``[separation]``: how the photograph becomes inks.

    ``trap`` is how far the photograph's inks run under knocked-out line work, so that no wood
    shows beside it when films do not fall on each other exactly.
    """

    tone_sum_limit: v.ToneSum = Share(2.6, "260 %")
    rendering: Rendering = "paper-relative"
    black_ink: v.Text | None = None
    black_generation: v.Fraction = 0.5
    small_dots: SmallDots = "thin"
    trap: v.SmallLength = Length(0.25, "0.25 mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class HalftoneTable:
    """``[halftone]``: what every ink uses unless it says otherwise.

    ``tone_curve`` tells how film tones print: measured pairs in percent, ``straight``, or
    ``published`` (a published screen printing line, until the shop's own wedge is measured).
    ``stochastic_dot`` is the least width of stochastic dots and of the gaps between them; where
    it is not given, two threads of the mesh carry it.
    """

    ruling: v.RulingValue
    dot_shape: DotShape = "elliptical"
    smallest_tone: v.ShareValue | None = None
    largest_tone: v.ShareValue | None = None
    stochastic_dot: v.DotLength | None = None
    tone_curve: v.CurveValue = "published"


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshTable:
    """``[mesh]`` or an ink's own ``mesh``: the cloth, and its maker's figures if known."""

    count: v.MeshCountValue
    thread: v.ThreadLength
    angle: v.AngleValue = Angle(0.0, "0°")
    opening: v.ThreadLength | None = None
    fabric_thickness: v.ThreadLength | None = None
    ink_volume: v.InkVolume | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmTable:
    """``[film]``: what the film printer can do and how the films are to read.

    ``also`` asks for more than the film PDFs: films as TIFF, unscreened grey separations, and
    a composite of all inks.
    """

    resolution: v.FilmResolution = Resolution(1440.0, "1440 dpi")
    width: v.SheetLength = Length(610.0, "61 cm")
    length: v.SheetLength = Length(30_000.0, "30 m")
    reading: Literal["right-reading", "mirrored"] = "right-reading"
    coding: Literal["group4", "deflate"] = "group4"
    also: v.AlsoWanted = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameTable:
    """``[frame]``: the screen frame's clear inside, and the mesh to leave free round the art."""

    inside_length: v.SheetLength
    inside_width: v.SheetLength
    free_ends: v.SmallLength = Length(100.0, "100 mm")
    free_sides: v.SmallLength = Length(75.0, "75 mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class PressTable:
    """``[press]``: the hot press that bonds a printed sheet to its board."""

    temperature: v.HeatValue = Temperature(85.0, "85 °C")


@dataclass(frozen=True, slots=True, kw_only=True)
class InkTable:
    """``[[ink]]``: one ink, in print order, with its colour, halftone, mesh and weight.

    Its colour is a named one (``colour``), or CIELAB over white with an opacity, or CIELAB over
    white and over black. With ``prints = "line work"`` it takes no part in the photograph;
    an ``underbase`` is printed first, where the photograph's inks gain by having it beneath them.
    ``choke`` draws the ink in at its edges (0.3 mm for an underbase, else nothing).
    """

    name: v.Text
    colour: v.Text | None = None
    over_white: v.Lab | None = None
    over_black: v.Lab | None = None
    opacity: v.Fraction | None = None
    prints: Literal["photo", "line work", "underbase"] = "photo"
    choke: v.SmallLength | None = None
    angle: v.AngleValue
    ruling: v.RulingValue | None = None
    dot_shape: DotShape | None = None
    stochastic_dot: v.DotLength | None = None
    tone_curve: v.CurveValue | None = None
    mesh: MeshTable | None = None
    density: v.Density = 1.2
    heat_limit: v.HeatValue | None = None
    left_in_screen: v.VolumeMl | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A job file, read once.

    Attributes
    ----------
    path : Path
        The job file itself; art and outline files are found beside it.
    """

    title: v.Text
    date: datetime.date
    board: BoardTable
    art: tuple[ArtTable, ...]
    halftone: HalftoneTable
    mesh: MeshTable
    ink: tuple[InkTable, ...]
    frame: FrameTable
    stage: Stage = "sheet"
    boards: v.Boards = 1
    press_profile: v.Text | None = None
    area: AreaTable = AreaTable()
    wood: WoodTable = WoodTable()
    separation: SeparationTable = SeparationTable()
    film: FilmTable = FilmTable()
    press: PressTable = PressTable()
    path: Path = field(default=Path("job.toml"))

    @property
    def photo_inks(self) -> tuple[InkTable, ...]:
        """The inks that the photograph is separated into, in print order."""
        return tuple(ink for ink in self.ink if ink.prints == "photo")

    @property
    def underbase(self) -> InkTable | None:
        """The ink that lies beneath the photograph's, if there is one."""
        return next((ink for ink in self.ink if ink.prints == "underbase"), None)

    def choke_mm_of(self, ink: InkTable) -> float:
        """How far the ink is drawn in at its edges (mm). The default is common practice."""
        if ink.choke is not None:
            return ink.choke.mm
        return UNDERBASE_CHOKE_MM if ink.prints == "underbase" else 0.0

    def beside(self, name: str) -> Path:
        """Where a file named in the job lies: beside the job file."""
        return self.path.parent / name

    def ruling_of(self, ink: InkTable) -> Ruling:
        """The ink's own ruling, or the job's."""
        return ink.ruling or self.halftone.ruling

    def mesh_of(self, ink: InkTable) -> Mesh:
        """The ink's own mesh, or the job's, in threads/cm and µm."""
        table = ink.mesh or self.mesh
        return Mesh(
            threads_per_cm=table.count.threads_per_cm, thread_um=table.thread.mm * 1000,
            angle_deg=table.angle.deg,
            measured_opening_um=_um(table.opening),
            measured_thickness_um=_um(table.fabric_thickness),
            measured_volume_um=table.ink_volume)

    def halftone_of(self, ink: InkTable) -> HalftoneSpec:
        """The ink's halftone, with tone ends from its mesh unless the job sets them."""
        shape = ink.dot_shape or self.halftone.dot_shape
        smallest, largest = self._tone_ends(ink, shape)
        dot_um = _um(ink.stochastic_dot or self.halftone.stochastic_dot)
        return HalftoneSpec(
            ruling_lpcm=self.ruling_of(ink).lpcm, angle_deg=ink.angle.deg, dot_shape=shape,
            film_dpi=self.film.resolution.dpi, smallest_tone=smallest, largest_tone=largest,
            small_dots="thin" if shape == "stochastic" else self.separation.small_dots,
            stochastic_dot_um=dot_um or STOCHASTIC_THREADS * self.mesh_of(ink).pitch_um,
            pattern=[other.name for other in self.ink].index(ink.name))

    def _tone_ends(self, ink: InkTable, shape: DotShape) -> tuple[float, float]:
        """Smallest and largest tone that the ink's mesh holds, or those that the job sets."""
        if shape == "stochastic":
            return 0.0, 1.0
        mesh, lpcm = self.mesh_of(ink), self.ruling_of(ink).lpcm
        held = (mesh.finest_line_um * lpcm / UM_PER_CM if shape == "line"
                else tone_of_dot(mesh.smallest_dot_um, lpcm))
        least, most = self.halftone.smallest_tone, self.halftone.largest_tone
        return (min(held, 0.4) if least is None else least.fraction,
                max(1 - held, 0.6) if most is None else most.fraction)


def _um(length: Length | None) -> float | None:
    return None if length is None else length.mm * 1000
