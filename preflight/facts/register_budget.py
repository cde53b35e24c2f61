"""How far films, mesh, board and hand may miss each other, and where on the board most."""

from __future__ import annotations

import math
from dataclasses import dataclass

from preflight.basis import Basis, Source, given
from preflight.findings import Place
from preflight.job_file.job import Job
from preflight.job_file.job_tables import RegisterTable

#: Growth of polyester film per °C.
FILM_PER_DEGC = 17e-6
_FILM_WARMTH = Source(
    basis=Basis.PUBLISHED,
    told="DuPont Teijin Films, \"Mylar polyester film, Physical-Thermal Properties\", H-37232-3, "
         "Table 1: 1.7e-5 per °C (30 to 50 °C, ASTM D 696)")
#: Growth of coated polyester film per % of relative humidity: the base's 8e-6, doubled by its
#: layers.
FILM_PER_PERCENT_RH = 16e-6
_FILM_HUMIDITY = Source(
    basis=Basis.PUBLISHED,
    told="Kodak, \"Film Tips\": 0.0008 % per % RH for the base, as much again for gelatin layers "
         "(photographic film; coated inkjet film may differ)")
#: Growth of a wooden face along the grain per % of relative humidity: 0.1 to 0.2 % over 30 % of
#: moisture, of which 5 % RH makes one, is 7e-6 to 13e-6.
WOOD_PER_PERCENT_RH = 10e-6
_WOOD_HUMIDITY = Source(
    basis=Basis.MEMORY,
    told="wood handbooks: 0.1 to 0.2 % along the grain from green to dry; of bamboo nothing found")
_MESH = Source(basis=Basis.PREDICTED, told="the geometry of a mesh that is pressed down")
_LAYING = given("the job's [register] table; ±0.1 to 0.2 mm is said in the trade, from memory")
_SEEN = Source(basis=Basis.MEASURED, told="the press profile, read from a scan")


@dataclass(frozen=True, slots=True, kw_only=True)
class RegisterPart:
    """One cause of misregister: how far it puts two inks apart at the board's ends (mm)."""

    name: str
    error_mm: float
    source: Source
    mend: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RegisterBudget:
    """All causes together.

    Attributes
    ----------
    off_contact_mm : float
        Gap between mesh and board.
    reach_mm : float
        From where the films are registered to the farthest end of the image (mm).
    parts : tuple of RegisterPart
        The causes, each as the difference between two inks at that end.
    worst_place : Place
        The end where they are greatest.
    """

    reach_mm: float
    parts: tuple[RegisterPart, ...]
    worst_place: Place

    @property
    def likely_mm(self) -> float:
        """Root of the sum of squares (mm): causes that know nothing of each other."""
        return math.sqrt(sum(part.error_mm**2 for part in self.parts))

    @property
    def worst_mm(self) -> float:
        """Sum (mm): all of them at once, in one direction."""
        return sum(part.error_mm for part in self.parts)

    @property
    def greatest(self) -> RegisterPart:
        """The cause that does most."""
        return max(self.parts, key=lambda part: part.error_mm)


def mesh_stretch_mm(span_mm: float, gap_mm: float) -> float:
    """How much longer the mesh gets over its free span as it is pressed down at mid-span (mm).

    Notes
    -----
    Geometry: 2 √((span / 2)² + gap²) − span; a lower bound, since threads also give way.
    """
    return 2 * math.hypot(span_mm / 2, gap_mm) - span_mm


def off_contact_shift_mm(span_mm: float, gap_mm: float, at_mm: float) -> float:
    """How far outwards the mesh prints a point, from the middle, because of the gap (mm).

    Parameters
    ----------
    span_mm : float
        Free length of the mesh inside the frame.
    gap_mm : float
        Off-contact.
    at_mm : float
        Where the squeegee stands, from the frame's nearer end; less than the span.

    Notes
    -----
    Geometry: pressed down at one place, the mesh is strained evenly over both its sides, so the
    point of the mesh that touches is the one that divides its length as they divide the path.
    """
    near, far = math.hypot(at_mm, gap_mm), math.hypot(span_mm - at_mm, gap_mm)
    return abs(span_mm * near / (near + far) - at_mm)


def register_budget(
    table: RegisterTable, *, off_contact_mm: float, reach_mm: float, image_mm: float,
    span_mm: float, worst_place: Place, seen_apart_mm: float = 0.0,
) -> RegisterBudget:
    """Reckon the budget.

    Parameters
    ----------
    table : RegisterTable
        What differs between one film, screen or hit and the next.
    reach_mm : float
        From where the films are registered to the end of the image.
    image_mm, span_mm : float
        Length of the image, in the middle of the frame, and free length of the mesh.
    worst_place : Place
        The end of the board that is told.
    seen_apart_mm : float
        How far two inks lay apart on the press's test sheet; where that is more than the job
        says of laying, it stands in its place: one print that fits well proves nothing.
    """
    at_mm = max(1.0, (span_mm - image_mm) / 2)
    gap_mm, warmer_degc = off_contact_mm, table.temperature_swing.degc
    damper_percent = table.humidity_swing.fraction * 100
    mesh = abs(off_contact_shift_mm(span_mm, gap_mm + table.off_contact_swing.mm, at_mm)
               - off_contact_shift_mm(span_mm, gap_mm, at_mm))
    return RegisterBudget(reach_mm=reach_mm, worst_place=worst_place, parts=(
        RegisterPart(name="temperature of the films",
                     error_mm=FILM_PER_DEGC * warmer_degc * reach_mm,
                     source=_FILM_WARMTH, mend="keep all films at one temperature"),
        RegisterPart(name="humidity of the films",
                     error_mm=FILM_PER_PERCENT_RH * damper_percent * reach_mm,
                     source=_FILM_HUMIDITY,
                     mend="make and keep all films in one room until they are exposed"),
        RegisterPart(name="humidity of the board's face",
                     error_mm=WOOD_PER_PERCENT_RH * damper_percent * reach_mm,
                     source=_WOOD_HUMIDITY, mend="print all inks of a board on one day"),
        RegisterPart(name="stretch of the mesh", error_mm=mesh, source=_MESH,
                     mend="set all screens to the same gap"),
        RegisterPart(name="placement on the table", error_mm=table.placement.mm, source=_LAYING,
                     mend="lay each board against fixed stops")
        if seen_apart_mm <= table.placement.mm else
        RegisterPart(name="placement as on the test sheet", error_mm=seen_apart_mm, source=_SEEN,
                     mend="lay each board against fixed stops"),
    ))


def job_register(job: Job, printed_bounds_mm: tuple[float, float, float, float],
                 seen_apart_mm: float = 0.0) -> RegisterBudget:
    """The job's register budget over its printed area (shapely bounds, board mm)."""
    table = job.register
    least_x, least_y, greatest_x, greatest_y = printed_bounds_mm
    length = greatest_x - least_x
    return register_budget(
        table, off_contact_mm=job.frame.off_contact.mm,
        reach_mm=length / 2 if table.registered_at == "middle" else length,
        image_mm=length, span_mm=max(job.frame.inside_length.mm, length + 2.0),
        seen_apart_mm=seen_apart_mm,
        worst_place=Place(least_x_mm=greatest_x - min(40.0, length), least_y_mm=least_y,
                          greatest_x_mm=greatest_x, greatest_y_mm=greatest_y))
