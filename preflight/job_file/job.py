"""The whole job, told once: what a job file says, as frozen values."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field
from pathlib import Path

from preflight.job_file import job_values as v
from preflight.job_file.board_tables import AreaTable, BoardTable, FinishTable, WoodTable
from preflight.job_file.hardware_tables import (
    ImportantTable,
    InsertsTable,
    KeepOutTable,
    ProfileTable,
)
from preflight.job_file.job_tables import (
    ArtTable,
    DayTable,
    FilmTable,
    FrameTable,
    HalftoneTable,
    InkTable,
    MeshTable,
    NoteTable,
    PressTable,
    RegisterTable,
    SeparationTable,
    Side,
    Stage,
)
from preflight.job_file.line_table import LineTable
from preflight.job_file.named_paths import path_within
from preflight.job_file.track_tables import GroundTable, LandmarkTable, PlanTable, TrackTable
from preflight.press.dot_shapes import STOCHASTIC, makes_lines
from preflight.press.halftone_spec import DotShape, HalftoneSpec, tone_of_dot
from preflight.press.mesh import Mesh
from preflight.units import UM_PER_CM, Length, Ruling

#: Common practice, no source: a little more than hand register on one frame holds.
UNDERBASE_CHOKE_MM = 0.3
#: Threads that carry a stochastic dot unless the job sets its size: every dot of such a film is a
#: smallest dot. Trade handbooks (1.5 to 2 thread pitches), from memory, unverified.
STOCHASTIC_THREADS = 2.0

#: A light, unfinished bamboo face, and the share of ink that it draws from the mesh besides what
#: lies on it. Invented: no slice was read.
INVENTED_WOOD_LAB = (74.0, 6.0, 26.0)
INVENTED_ABSORPTION = 0.15

#: Fields of `Job` that no file sets.
NOT_KEYS = ("path", "outside_allowed")


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A job file, read once.

    Attributes
    ----------
    path : Path
        The job file itself; art and outline files are found beside it.
    outside_allowed : bool
        Whether it may name files outside its own folder.
    side : Side
        Which side of the board is printed. The board's outline is told as its top is seen; the
        base's is its mirror image across the centre line, as seen from the printed side.
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
    side: Side = "top"
    boards: v.Boards = 1
    press_profile: v.Text | None = None
    stock: v.Text | None = None
    area: AreaTable = AreaTable()
    wood: WoodTable = WoodTable()
    finish: FinishTable = FinishTable()
    separation: SeparationTable = SeparationTable()
    film: FilmTable = FilmTable()
    press: PressTable = PressTable()
    register: RegisterTable = RegisterTable()
    day: DayTable = DayTable()
    profile: ProfileTable | None = None
    inserts: InsertsTable | None = None
    keep_out: tuple[KeepOutTable, ...] = ()
    important: tuple[ImportantTable, ...] = ()
    line: tuple[LineTable, ...] = ()
    note: tuple[NoteTable, ...] = ()
    landmark: tuple[LandmarkTable, ...] = ()
    ground: GroundTable = GroundTable()
    track: tuple[TrackTable, ...] = ()
    plan: PlanTable | None = None
    path: Path = field(default=Path("job.toml"))
    outside_allowed: bool = False

    @property
    def photo_inks(self) -> tuple[InkTable, ...]:
        """The inks that the photograph is separated into, in print order."""
        return tuple(ink for ink in self.ink if ink.prints == "photo")

    @property
    def underbase(self) -> InkTable | None:
        """The ink that lies beneath the photograph's, if there is one."""
        return next((ink for ink in self.ink if ink.prints == "underbase"), None)

    @property
    def highlight_white(self) -> InkTable | None:
        """The white that lies over the photograph's inks, if there is one."""
        return next((ink for ink in self.ink if ink.prints == "highlight white"), None)

    @property
    def wood_lab(self) -> tuple[float, float, float]:
        """CIELAB (D50, 2°) of the bare wood: the job's, else invented."""
        return INVENTED_WOOD_LAB if self.wood.lab is None else self.wood.lab

    @property
    def wood_absorption(self) -> float:
        """Extra share (0 to 1) of ink that the wood draws: the job's, else invented."""
        share = self.wood.absorption
        return INVENTED_ABSORPTION if share is None else share.fraction

    def choke_mm_of(self, ink: InkTable) -> float:
        """How far the ink is drawn in at its edges (mm). The default is common practice."""
        if ink.choke is not None:
            return ink.choke.mm
        return UNDERBASE_CHOKE_MM if ink.prints == "underbase" else 0.0

    def beside(self, name: str) -> Path:
        """Where a file named in the job lies: beside the job file.

        Raises
        ------
        InputProblem
            When it lies outside the job's folder, links followed, and that is not allowed.
        """
        return path_within(self.path, name, outside=self.outside_allowed)

    def has_dots(self, ink: InkTable) -> bool:
        """Whether the ink's film has halftone dots: a photograph's, or those of a drawn tint."""
        return ink.prints != "line work" or bool(self.tints_of(ink))

    def tints_of(self, ink: InkTable) -> tuple[float, ...]:
        """Film tones (0 to 1) of the drawings and flats that the ink prints as tints."""
        return tuple(
            table.tint.fraction for table in self.art if table.tint.fraction < 1
            and ink.name in (table.ink, *(table.colours or {}).values()))

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
            small_dots="thin" if shape == STOCHASTIC else self.separation.small_dots,
            stochastic_dot_um=dot_um or STOCHASTIC_THREADS * self.mesh_of(ink).pitch_um,
            pattern=[other.name for other in self.ink].index(ink.name))

    def tone_ends_of(self, ink: InkTable) -> tuple[float, float]:
        """Smallest and largest tone that the ink's mesh holds, or those that the job sets."""
        return self._tone_ends(ink, ink.dot_shape or self.halftone.dot_shape)

    def separated_ends_of(self, ink: InkTable) -> tuple[float, float]:
        """Tones (0 to 1) to which a separation keeps the ink; all where dots are thinned."""
        shape = ink.dot_shape or self.halftone.dot_shape
        thinned = shape == STOCHASTIC or self.separation.small_dots == "thin"
        return (0.0, 1.0) if thinned else self._tone_ends(ink, shape)

    def _tone_ends(self, ink: InkTable, shape: DotShape) -> tuple[float, float]:
        if shape == STOCHASTIC:
            return 0.0, 1.0
        mesh, lpcm = self.mesh_of(ink), self.ruling_of(ink).lpcm
        held = (mesh.finest_line_um * lpcm / UM_PER_CM if makes_lines(shape)
                else tone_of_dot(mesh.smallest_dot_um, lpcm))
        least, most = self.halftone.smallest_tone, self.halftone.largest_tone
        return (min(held, 0.4) if least is None else least.fraction,
                max(1 - held, 0.6) if most is None else most.fraction)


def _um(length: Length | None) -> float | None:
    return None if length is None else length.mm * 1000
