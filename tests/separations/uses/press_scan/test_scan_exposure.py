"""The exposure scale: its pixels on the film, stencils exposed by steps, and fields as scanned."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray

from preflight.frames.raster_grid import RasterGrid
from preflight.job_file.job_reader import read_job
from preflight.press.seen_print import SeenPrint
from separations.colour.seen_print_words import seen_print_told
from separations.uses.calibration.calibration_run import make_wedge
from separations.uses.calibration.exposure_scale import (
    FRAME_MM,
    SCALE_STEPS,
    exposure_fields,
    exposure_lines,
    inked_pixels,
)
from separations.uses.calibration.patches import sheet_patches
from separations.uses.calibration.sheet_marks import MARK_MM, sheet_number
from separations.uses.calibration.wedge_films import wedge_sheet
from separations.uses.press_scan.scan_exposure import (
    AROUND_MM,
    FieldReading,
    held_steps,
    printed_share,
)
from separations.uses.press_scan.scan_reading import read_scan
from separations.uses.press_scan.seen_of_scans import seen_of_scans
from separations.uses.press_scan.solid_light import SolidLight
from tests.made_up_scans import ASIDE_MM, SOLIDS, PrintedSheet, Taken, write_picture
from tests.small_art import write_small_job

DPI = 1440
SOLID = SolidLight(channel=0, relative=0.1)


@pytest.mark.parametrize("place", range(len(SCALE_STEPS)))
def test_a_field_has_half_the_clear_pixels_of_the_one_before(place: int) -> None:
    inked = inked_pixels(place, 64)
    assert 1 - inked.mean() == 2.0**-place
    # evenly: as many in each part
    parts = inked.reshape(8, 8, 8, 8).mean(axis=(1, 3))
    assert np.ptp(parts) == 0
    # half the light is a density of log10 2, two steps of 0.15
    assert SCALE_STEPS[place] == 1 + 2 * place


@pytest.mark.long
def test_the_films_have_the_fields_pixel_by_pixel(tmp_path: Path) -> None:
    job_path = write_small_job(tmp_path / "job", ('resolution = "600 dpi"',
                                                  f'resolution = "{DPI} dpi"'))
    job = read_job(job_path)
    laid = wedge_sheet(job, sheet_patches(job))
    name = make_wedge(job_path, tmp_path / "wedge")[1]
    with pypdfium2.PdfDocument(tmp_path / "wedge" / name) as document:
        page = document[0]
        left, _, _, top = (round(v * DPI / 72) for v in page.get_bleedbox())
        mine = [field for field in exposure_fields(laid.patches) if field.ink == 1]
        assert [field.place for field in mine] == list(range(6))
        grid = laid.sheet.art_grid
        _, _, top_x, left_y = laid.sheet.trim_bounds_mm
        side, frame = (round(mm / grid.pixel_mm) for mm in (MARK_MM, FRAME_MM))
        shown = page.render(scale=DPI / 72 * (1 - 1e-7), grayscale=True).to_pil()
        for field in mine:
            right, down = laid.mark_mm(field.row, field.column)
            first = left + round(grid.column_of(left_y - right))
            row = shown.height - top + round(grid.row_of(top_x - down))
            bits = np.asarray(shown.crop((first - 3, row - 3, first + side + 3,
                                          row + side + 3))) < 128
            assert not bits[:3].any()
            assert not bits[:, -3:].any()
            bits = bits[3:-3, 3:-3]
            assert bits[:frame].all()
            assert bits[:, -frame:].all()
            assert (bits[frame:-frame, frame:-frame]
                    == inked_pixels(field.place, side - 2 * frame)).all()


def test_fields_lie_on_the_film_s_own_pixels_and_coarse_films_have_none() -> None:
    grid = RasterGrid(top_x_mm=20.0, left_y_mm=30.0, pixel_mm=25.4 / DPI, rows=1000, columns=2400)
    lines, = exposure_lines(grid, [(15.0, 25.0), (15.0, 10.0)])
    assert lines.grid is grid
    plane = lines.plane.window()
    for place, y in enumerate((25.0, 10.0)):
        row, column = round(grid.row_of(15.0)), round(grid.column_of(y))
        side, frame = (round(mm / grid.pixel_mm) for mm in (MARK_MM, FRAME_MM))
        field = plane[row:row + side, column:column + side] == 255
        assert field[:frame].all()
        assert (field[frame:-frame, frame:-frame] == inked_pixels(place, side - 2 * frame)).all()
        plane[row:row + side, column:column + side] = 0
    assert not plane.any()
    assert not list(exposure_lines(replace(grid, pixel_mm=25.4 / 900), [(15.0, 25.0)]))


def printed_field(place: int, exposure: float, seed: int, spread_um: float = 40.0
                  ) -> NDArray[np.float32]:
    """Light of a field whose stencil hardened where enough light came, as scanned at 300 ppi."""
    random = np.random.default_rng(seed)
    pixel_mm = 25.4 / DPI
    whole, side, frame = (round(mm / pixel_mm) for mm in (MARK_MM + 2 * AROUND_MM, MARK_MM,
                                                          FRAME_MM))
    clear = np.ones((whole, whole), np.float32)
    around = (whole - side) // 2
    field = np.zeros((side, side), np.float32)
    field[frame:-frame, frame:-frame] = ~inked_pixels(place, side - 2 * frame)
    clear[around:around + side, around:around + side] = field
    # light spreads in film and emulsion; what is under the threshold washes out and prints
    came = exposure * cv2.GaussianBlur(clear, (0, 0), spread_um / 1000 / pixel_mm)
    ink = cv2.GaussianBlur((came < 1).astype(np.float32), (0, 0), 0.03 / pixel_mm)
    pixels = round(whole * pixel_mm * 300 / 25.4)
    light = cv2.resize(1 - 0.9 * ink, (pixels, pixels), interpolation=cv2.INTER_AREA)
    light *= 0.4 * (1 + 0.03 * cv2.GaussianBlur(
        random.normal(0, 3, light.shape).astype(np.float32), (0, 0), 1.5))
    return np.asarray(light + random.normal(0, 0.003, light.shape), np.float32)


@pytest.mark.parametrize("held", range(1, 6))
def test_stencils_exposed_more_and_more_hold_a_step_more(held: int) -> None:
    for seed in range(3):
        shares = [printed_share(printed_field(place, 2.0**(held - 0.6), seed), SOLID)
                  for place in range(6)]
        assert [share is not None and share < 0.3 for share in shares] == [
            place < held for place in range(6)]


def test_bare_wood_is_no_field() -> None:
    bare = np.full((74, 74), 0.4, np.float32)
    assert printed_share(bare, SOLID) is None


def fields(ink: int, *shares: float) -> list[FieldReading]:
    return [FieldReading(ink=ink, place=place, printed=share, corners_px=np.zeros((4, 2)))
            for place, share in enumerate(shares)]


def test_the_last_step_held_of_each_ink() -> None:
    seen = [*fields(0, 0.0, 0.01, 0.05, 0.9, 1.0, 1.0), *fields(1, 0.8, 1, 1, 1, 1, 1),
            *fields(2, *[0.0] * 6), *fields(3, 0, 0, 0.9, 0.1, 1, 1), *fields(4, 0, 0, 1)]
    # one that holds after one that did not, and one that was not all seen, tell nothing
    assert held_steps(seen) == {0: 5, 1: 0, 2: 11}
    # a second picture of the same sheet
    assert held_steps(seen + fields(0, 0, 0, 0, 0, 1, 1)) == {0: 5, 1: 0, 2: 11}


def with_scale(sheet: PrintedSheet, held: dict[int, int]) -> PrintedSheet:
    """The sheet with fields printed on it, of which each ink's stencil held so many."""
    light = sheet.light.copy()
    for field in exposure_fields(sheet.patches):
        solid = np.array(SOLIDS[("Yellow", "Black")[field.ink]], np.float32)
        left, top = (np.array(sheet.laid.mark_mm(field.row, field.column)) + ASIDE_MM
                     + sheet.moved_mm[field.ink])
        rows, columns = (slice(round(at * sheet.per_mm), round((at + MARK_MM) * sheet.per_mm))
                         for at in (top, left))
        frame = round(FRAME_MM * sheet.per_mm)
        inside = light[rows, columns][frame:-frame, frame:-frame].copy()
        light[rows, columns] = solid
        if field.place < held[field.ink]:
            light[rows, columns][frame:-frame, frame:-frame] = inside
    return replace(sheet, light=light)


def test_a_scan_tells_the_step_of_each_ink_or_that_there_is_no_scale(
        printed: PrintedSheet, scanned_job: Path, tmp_path: Path) -> None:
    job = read_job(scanned_job)
    number = sheet_number(job, printed.patches)
    sheet = with_scale(printed, {0: 4, 1: 2})
    scan = read_scan(write_picture(sheet, Taken(ppi=200), tmp_path / "p"), sheet.laid, number,
                     light_inks=False)
    seen = seen_of_scans(job, sheet.laid, [scan])
    assert (seen.inks["Yellow"].exposure_step, seen.inks["Black"].exposure_step) == (7, 3)
    assert "The stencil of Yellow held step 7 of the exposure scale; 7 is wanted." in seen.says
    # four steps of a density of 0.15 are four times the light
    assert ("The stencil of Black held step 3 of the exposure scale; 7 is wanted, which takes "
            "about 4 times the light or more.") in seen.says
    assert scan.left_out.count("") == len(printed.patches)


def test_words_of_a_stencil_that_held_nothing() -> None:
    told, = seen_print_told("Cyan", SeenPrint(exposure_step=0))
    assert told == ("The stencil of Cyan held no step of the exposure scale; 7 is wanted, which "
                    "takes about 8 times the light or more.")
