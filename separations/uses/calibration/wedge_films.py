"""The test sheet's films: one an ink, written and read back as the job's own films are."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from importlib.util import find_spec
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont
from shapely import box, union_all
from shapely.geometry.base import BaseGeometry

from preflight.board.area_mask import RowSpans
from preflight.frames.raster_grid import RasterGrid
from preflight.frames.tiled_plane import tiled
from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from preflight.units import MM_PER_INCH
from separations.colour.job_inks import whole_model
from separations.films.film_label import FilmLabel
from separations.films.film_sheet import FilmSheet, film_sheet
from separations.films.read_back import make_film
from separations.halftone.film_content import FilmArea, FilmContent, FilmLines
from separations.runtime.progress import Say
from separations.uses.calibration.exposure_scale import exposure_fields, exposure_lines
from separations.uses.calibration.patches import COLUMNS, Patch, patches_csv, sheet_patches
from separations.uses.calibration.register_marks import SQUARE_MM, register_marks, squares_mm
from separations.uses.calibration.sheet_marks import (
    FIELD_MM,
    MARK_MM,
    SheetNumber,
    mark_fields,
    row_marks,
    sheet_number,
)
from separations.uses.calibration.target_files import target_cgats, target_cxf

PATCH_MM = 12.0
GAP_MM = 2.0
#: Strip above each row of patches (mm): for its lettering, and for lettering and marks.
LETTERING_MM = 4.5
MARKED_MM = MARK_MM + 2.0
#: Size of the lettering (capitals are 0.73 of it), and its baseline above the patch (mm).
LETTER_MM = 2.6
_BASELINE_MM = 1.6
#: Tone planes are coarse: the spans cut patches sharp at the film's own pixels.
_TONE_PIXEL_MM = 0.2
#: Tones are painted this far past their patch (mm), and no lettering stands within the second.
_PAST_MM = 0.5
_CLEAR_MM = 1.0
_LETTERING_PPI = 720.0
_SOLID = 65_535
_PITCH_MM = PATCH_MM + GAP_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class WedgeSheet:
    """The sheet and its patches.

    Attributes
    ----------
    sheet : FilmSheet
        Film with margins and marks, the same for every ink.
    patches : tuple of Patch
        Row by row.
    strip_mm : float
        Height of the strip above each row.
    """

    sheet: FilmSheet
    patches: tuple[Patch, ...]
    strip_mm: float

    def bounds_mm(self, patch: Patch) -> tuple[float, float, float, float]:
        """(least x, least y, greatest x, greatest y) of a patch in the film's frame."""
        least_x, _, greatest_x, greatest_y = self.sheet.trim_bounds_mm
        left, top, right, bottom = self.box_mm(patch.row, patch.column)
        assert greatest_x - bottom > least_x
        return greatest_x - bottom, greatest_y - right, greatest_x - top, greatest_y - left

    def box_mm(self, row: int, column: int) -> tuple[float, float, float, float]:
        """(left, top, right, bottom) of a patch, to the right and down from the upper left."""
        left = column * _PITCH_MM + GAP_MM / 2
        top = row * (PATCH_MM + self.strip_mm) + self.strip_mm
        return left, top, left + PATCH_MM, top + PATCH_MM

    def mark_mm(self, row: int, column: int) -> tuple[float, float]:
        """Upper left corner of the mark above a patch, to the right and down likewise."""
        _, top, right, _ = self.box_mm(row, column)
        return right - MARK_MM, top - self.strip_mm + _CLEAR_MM


def wedge_sheet(job: Job, patches: Sequence[Patch], strip_mm: float = MARKED_MM) -> WedgeSheet:
    """Lay the patches out, nose up, rows from the top, a strip above each.

    Raises
    ------
    InputProblem
        When the film or the frame is too small for the sheet.
    """
    rows = max(patch.row for patch in patches) + 1
    half_x = (rows * (PATCH_MM + strip_mm) + GAP_MM) / 2
    half_y = COLUMNS * _PITCH_MM / 2
    bounds = -half_x, -half_y, half_x, half_y
    sheet = film_sheet(bounds, bounds, job.film.resolution.dpi, job.film.reading)
    frame = job.frame
    for key, need, room, written in (
        ("film.width", sheet.page_width_mm, job.film.width.mm, job.film.width.written),
        ("film.length", sheet.page_length_mm, job.film.length.mm, job.film.length.written),
        ("frame.inside_width", 2 * (half_y + frame.free_sides.mm), frame.inside_width.mm,
         frame.inside_width.written),
        ("frame.inside_length", 2 * (half_x + frame.free_ends.mm), frame.inside_length.mm,
         frame.inside_length.written),
    ):
        if need > room:
            raise InputProblem(where=f"{job.path}: {key}", found=f"'{written}'",
                               would_do=f"at least {math.ceil(need)} mm for the test sheet")
    return WedgeSheet(sheet=sheet, patches=tuple(patches), strip_mm=strip_mm)


def wedge_content(job: Job, ink: InkTable, laid: WedgeSheet,
                  lines: tuple[FilmLines | FilmArea, ...]) -> FilmContent:
    """What one ink's film shows: raw film tones, screened as the ink's films are.

    No tone curve is applied. Tones beyond the smallest dots print as the job's films print them
    where those thin out whole dots; dots that the job drops or holds are here as they are asked.
    """
    spec = job.halftone_of(ink)
    if spec.small_dots != "thin":
        spec = replace(spec, smallest_tone=0.0, largest_tone=1.0)
    grid = laid.sheet.art_grid
    tones, tone_grid = _tones(laid, job.ink.index(ink))
    return FilmContent(tones=tones, tone_grid=tone_grid, film_grid=grid, spec=spec,
                       spans=_spans(laid, grid), lines=lines)


def sheet_lettering(laid: WedgeSheet) -> FilmLines:
    """Row letter and column number above each patch, as line work."""
    plane_grid = _covering(laid.sheet.art_grid, MM_PER_INCH / _LETTERING_PPI)
    picture = Image.new("L", (plane_grid.columns, plane_grid.rows), 0)
    draw = ImageDraw.Draw(picture)
    font = ImageFont.truetype(str(_font_path()), round(LETTER_MM / plane_grid.pixel_mm))
    for patch in laid.patches:
        _, _, top_x, left_y = laid.bounds_mm(patch)
        place = plane_grid.column_of(left_y), plane_grid.row_of(top_x + _BASELINE_MM)
        draw.text(place, patch.name, fill=255, font=font, anchor="ls")
    return FilmLines(plane=tiled(np.asarray(picture, np.uint8)), grid=plane_grid, action="print")


def marked_rows(patches: Sequence[Patch], ink: int, darkest: int) -> tuple[int, ...]:
    """Rows above which an ink prints the marks: those of its wedge; the darkest, of overprints."""
    wedges = {patch.row for patch in patches if patch.kind == "wedge"}
    return tuple(row for row in sorted({patch.row for patch in patches})
                 if (row // 2 == ink if row in wedges else ink == darkest))


def darkest_ink(job: Job) -> int:
    """The ink of the darkest solid, in print order, which letters the sheet."""
    model = whole_model(job)
    return min(range(len(job.ink)), key=lambda ink: float(model.primaries_lab[1 << ink][0]))


def _marks(laid: WedgeSheet, rows: Sequence[int], ink: int, number: SheetNumber) -> BaseGeometry:
    """An ink's marks, those above these rows and of its register, as an area in the film frame."""
    _, _, top_x, left_y = laid.sheet.trim_bounds_mm
    boxes = []

    def add(right: float, down: float, side: float) -> None:
        x, y = top_x - down, left_y - right
        boxes.append(box(x - side, y - side, x, y))

    for row in rows:
        for mark in row_marks(row, number):
            right, down = laid.mark_mm(mark.row, mark.column)
            inked = np.pad(1 - mark_fields()[mark.code], 1, constant_values=1)
            for j, i in np.argwhere(inked):
                add(right + i * FIELD_MM, down + j * FIELD_MM, FIELD_MM)
    for one in register_marks(laid.patches):
        if ink in (0, one.ink):
            right, down = laid.mark_mm(one.row, one.column)
            for over, below in squares_mm(first_ink=ink == 0):
                add(right + over, down + below, SQUARE_MM)
    return union_all(boxes, grid_size=0.001)


def _field_corners(laid: WedgeSheet, ink: int) -> list[tuple[float, float]]:
    """Upper left corners of an ink's exposure fields in the film's frame."""
    _, _, top_x, left_y = laid.sheet.trim_bounds_mm
    corners = [laid.mark_mm(one.row, one.column) for one in exposure_fields(laid.patches)
               if one.ink == ink]
    return [(top_x - down, left_y - right) for right, down in corners]


def _tones(laid: WedgeSheet, ink: int) -> tuple[NDArray[np.uint16], RasterGrid]:
    """Tones painted a little past each patch; the spans cut them to size."""
    grid = _covering(laid.sheet.art_grid, _TONE_PIXEL_MM)
    tones = np.zeros((grid.rows, grid.columns), np.uint16)
    for patch in laid.patches:
        least_x, least_y, greatest_x, greatest_y = laid.bounds_mm(patch)
        rows = slice(max(0, round(grid.row_of(greatest_x + _PAST_MM))),
                     round(grid.row_of(least_x - _PAST_MM)))
        columns = slice(max(0, round(grid.column_of(greatest_y + _PAST_MM))),
                        round(grid.column_of(least_y - _PAST_MM)))
        tones[rows, columns] = round(patch.tones[ink] * _SOLID)
    return tones, grid


def _spans(laid: WedgeSheet, grid: RasterGrid) -> RowSpans:
    """Patches in their rows, and the lettering's strip between them from side to side."""
    starts = np.zeros((grid.rows, COLUMNS), np.int32)
    ends = np.zeros((grid.rows, COLUMNS), np.int32)
    ends[:, 0] = grid.columns
    for patch in laid.patches:
        least_x, least_y, greatest_x, greatest_y = laid.bounds_mm(patch)
        if patch.column == 0:
            rows = slice(round(grid.row_of(greatest_x + _CLEAR_MM)),
                         round(grid.row_of(least_x - _CLEAR_MM)))
            ends[rows] = 0
        rows = slice(round(grid.row_of(greatest_x)), round(grid.row_of(least_x)))
        starts[rows, patch.column] = round(grid.column_of(greatest_y))
        ends[rows, patch.column] = round(grid.column_of(least_y))
    return RowSpans(starts=starts, ends=ends, columns=grid.columns)


def _covering(film: RasterGrid, pixel_mm: float) -> RasterGrid:
    """A grid from the film's upper left corner that covers it."""
    rows = -int(-film.rows * film.pixel_mm // pixel_mm) + 1
    columns = -int(-film.columns * film.pixel_mm // pixel_mm) + 1
    return replace(film, pixel_mm=pixel_mm, rows=rows, columns=columns)


def _font_path() -> Path:
    """The free bold face that comes with reportlab, as on the films' labels."""
    spec = find_spec("reportlab")
    assert spec
    assert spec.origin
    return Path(spec.origin).parent / "fonts" / "VeraBd.ttf"


PATCHES_FILE = "patches.csv"
#: The same for measuring programs.
TARGET_FILE = "patches.txt"
CXF_FILE = "patches.cxf"


def write_wedge(job: Job, folder: Path, say: Say) -> tuple[str, ...]:
    """Write the films and the list of patches; returns the films' file names in print order.

    Raises
    ------
    InputProblem
        When the job has too many inks, or film or frame are too small.
    FilmReadBackError
        When a film does not hold the dots that were screened.
    """
    darkest = darkest_ink(job)
    laid = wedge_sheet(job, sheet_patches(job))
    lettering, number = sheet_lettering(laid), sheet_number(job, laid.patches)
    names = []
    for order, ink in enumerate(job.ink, 1):
        say(f"Test film {order} of {len(job.ink)}: {ink.name}")
        marks = FilmArea(area=_marks(laid, marked_rows(laid.patches, order - 1, darkest),
                                     order - 1, number), action="print")
        lines: tuple[FilmLines | FilmArea, ...] = (
            marks, *exposure_lines(laid.sheet.art_grid, _field_corners(laid, order - 1)))
        content = wedge_content(job, ink, laid,
                                (*lines, lettering) if order - 1 == darkest else lines)
        name = f"wedge-{order:02d}-{_plain(ink.name)}.pdf"
        mesh = ink.mesh or job.mesh
        label = FilmLabel(
            job=f"{job.title}: test sheet", board="no tone curve, all dots kept", ink=ink.name,
            mesh=f"{mesh.count.written}, thread {mesh.thread.written}",
            ruling=job.ruling_of(ink).written, film_number=order, film_count=len(job.ink),
            date=job.date.isoformat())
        make_film(folder / name, content, laid.sheet, label, coding=job.film.coding)
        names.append(name)
    # with a mark of its encoding, so that a spreadsheet reads the inks' names as they are
    (folder / PATCHES_FILE).write_text(patches_csv(job, laid.patches), encoding="utf-8-sig",
                                       newline="")
    for name, text in ((TARGET_FILE, target_cgats(job, laid.patches)),
                       (CXF_FILE, target_cxf(job, laid.patches))):
        (folder / name).write_text(text, encoding="utf-8", newline="\n")
    return tuple(names)


def _plain(ink: str) -> str:
    """An ink's name as part of a file name."""
    return re.sub(r"[^A-Za-z0-9]+", "-", ink).strip("-")[:40] or "ink"
