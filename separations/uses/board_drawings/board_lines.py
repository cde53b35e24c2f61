"""What every drawing of a board shows: its lines by layer, and its figures."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from shapely import get_parts

from preflight.board.board_outline import BoardOutline
from preflight.board.fittings import FittedInserts
from preflight.board.topsheet_area import TopsheetArea
from preflight.job_file.job import Job
from separations.films.film_sheet import film_sheet
from separations.films.marks import TARGET_ARM_MM, TARGET_RADIUS_MM, Ring, marks

Points = NDArray[np.float64]

TRIM = "Trim"
PRINTED = "Printed area"
SAFE = "Safe area"
REGISTER = "Register marks"
CENTRE = "Centre lines"
HOLES = "Drilled holes"
#: Centre lines run past the board's ends and sides by this much (mm).
_PAST_MM = 12.0


class Circle(NamedTuple):
    """A circle in board mm."""

    x_mm: float
    y_mm: float
    radius_mm: float


class DrawnLayer(NamedTuple):
    """Lines that belong together.

    Attributes
    ----------
    name : str
        In plain trade words.
    rings : tuple of NDArray of float64, shape (N, 2)
        Closed lines in board mm, the first point not repeated.
    lines : tuple of NDArray of float64, shape (2, 2)
        Straight lines in board mm.
    circles : tuple of Circle
        Circles.
    """

    name: str
    rings: tuple[Points, ...] = ()
    lines: tuple[Points, ...] = ()
    circles: tuple[Circle, ...] = ()

    @property
    def ident(self) -> str:
        """The name in small letters without spaces."""
        return self.name.lower().replace(" ", "-")


class Width(NamedTuple):
    """A station of the board: how wide, and where (mm from mid-length, towards the nose)."""

    name: str
    width_mm: float
    x_mm: float


class BoardLines(NamedTuple):
    """All layers of a board's drawing and what is written on it.

    Attributes
    ----------
    title, board, date : str
        From the job.
    layers : tuple of DrawnLayer
        The trim first.
    length_mm, width_mm, around_mm, area_cm2 : float
        Of the outline.
    stations : tuple of Width
        Nose, waist and tail.
    told : str
        What the outline is: a flat sheet or a pressed board, seen from the printed side.
    holes : tuple of Circle
        Drilled holes, of their own size.
    """

    title: str
    board: str
    date: str
    layers: tuple[DrawnLayer, ...]
    length_mm: float
    width_mm: float
    around_mm: float
    area_cm2: float
    stations: tuple[Width, ...]
    told: str
    holes: tuple[Circle, ...] = ()

    def layer(self, name: str) -> DrawnLayer:
        """The layer of that name."""
        return next(layer for layer in self.layers if layer.name == name)

    @property
    def layers_with_holes(self) -> tuple[DrawnLayer, ...]:
        """All layers, and one of the drilled holes where there are any."""
        return (*self.layers, *((DrawnLayer(HOLES, circles=self.holes),) if self.holes else ()))

    @property
    def dimensions(self) -> tuple[str, ...]:
        """The board's figures, one short line each."""
        return (f"Length {self.length_mm:.1f} mm, greatest width {self.width_mm:.1f} mm",
                *(f"{s.name} {s.width_mm:.1f} mm wide, {abs(s.x_mm):.0f} mm from mid-length "
                  f"towards the {'nose' if s.x_mm >= 0 else 'tail'}" for s in self.stations),
                f"Outline {self.around_mm:.0f} mm round, {self.area_cm2:.0f} cm²")


def board_lines(job: Job, outline: BoardOutline, area: TopsheetArea,
                inserts: Sequence[FittedInserts] = ()) -> BoardLines:
    """The lines and figures of a job's board.

    Parameters
    ----------
    job : Job
        For words, stage and film resolution.
    outline : BoardOutline
        The board.
    area : TopsheetArea
        Its trim, printed area and safe area.
    inserts : sequence of FittedInserts
        Binding inserts, whose holes are drawn.
    """
    flat = "flat topsheet, before pressing" if job.stage == "sheet" else "finished board"
    return BoardLines(
        title=job.title, board=job.board.name, date=job.date.isoformat(),
        layers=(DrawnLayer(TRIM, _rings(area.trim)), DrawnLayer(PRINTED, _rings(area.printed)),
                DrawnLayer(SAFE, _rings(area.safe)), _register_marks(job, area),
                _centre_lines(outline)),
        length_mm=outline.length_mm, width_mm=outline.width_mm,
        around_mm=float(outline.polygon.length), area_cm2=outline.area_mm2 / 100.0,
        stations=_stations(outline),
        told=f"{flat}; seen from the printed side, nose to the right",
        holes=tuple(Circle(float(x), float(y), pack.hole_mm / 2) for pack in inserts
                    for x, y in pack.holes_mm))


def _rings(area: object) -> tuple[Points, ...]:
    return tuple(np.asarray(ring.coords)[:-1, :2] for part in get_parts(area)
                 for ring in (part.exterior, *part.interiors))


def _register_marks(job: Job, area: TopsheetArea) -> DrawnLayer:
    """The films' registration targets, where they stand on the films."""
    sheet = film_sheet(area.image_bounds, area.trim.bounds, job.film.resolution.dpi,
                       job.film.reading)
    page = sheet.page_grid
    middles = [(page.top_x_mm - mark.row * page.pixel_mm,
                page.left_y_mm - mark.column * page.pixel_mm)
               for mark in marks(sheet) if isinstance(mark, Ring)]
    arm = TARGET_ARM_MM
    lines = [np.array(ends) for x, y in middles
             for ends in (((x - arm, y), (x + arm, y)), ((x, y - arm), (x, y + arm)))]
    return DrawnLayer(REGISTER, lines=tuple(lines),
                      circles=tuple(Circle(x, y, TARGET_RADIUS_MM) for x, y in middles))


def _centre_lines(outline: BoardOutline) -> DrawnLayer:
    along, across = outline.length_mm / 2 + _PAST_MM, outline.width_mm / 2 + _PAST_MM
    return DrawnLayer(CENTRE, lines=(np.array([[-along, 0.0], [along, 0.0]]),
                                     np.array([[0.0, -across], [0.0, across]])))


def _stations(outline: BoardOutline) -> tuple[Width, ...]:
    """Widest station of each half, and the narrowest between them."""
    x_mm = np.linspace(-outline.length_mm / 2, outline.length_mm / 2, 1001)
    widths = np.array([outline.width_at(float(x)) for x in x_mm])
    nose = 501 + int(np.argmax(widths[501:]))
    tail = int(np.argmax(widths[:500]))
    waist = tail + int(np.argmin(widths[tail:nose + 1]))
    return tuple(Width(name, float(widths[at]), float(x_mm[at]))
                 for name, at in (("Nose", nose), ("Waist", waist), ("Tail", tail)))
