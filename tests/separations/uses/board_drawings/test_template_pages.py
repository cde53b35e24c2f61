"""The template, rendered by software that did not write it, and measured."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray
from shapely.geometry import Polygon

from preflight.board.topsheet_area import TopsheetArea
from preflight.job_file.job_reader import read_job
from preflight.units import MM_PER_INCH, POINTS_PER_INCH
from separations.planes.laid_out_job import board_of
from separations.uses.board_drawings.board_lines import BoardLines, board_lines
from separations.uses.board_drawings.template_drawing import TRIM_STROKE_MM
from separations.uses.board_drawings.template_pages import long_page, tiled_pages
from separations.uses.board_drawings.template_tiles import (
    FOOT_MARGIN_MM,
    SHEET_MM,
    SIDE_MARGIN_MM,
    tiling_over,
)

DPI = 254.0  # ten pixels a millimetre
PX = DPI / MM_PER_INCH


@pytest.fixture
def board(small_job: Callable[..., Path]) -> tuple[BoardLines, TopsheetArea]:
    job = read_job(small_job())
    board = board_of(job)
    return board_lines(job, board.outline, board.area), board.area


def rendered(pdf: bytes, page: int = 0) -> NDArray[np.uint8]:
    """Grey pixels, rows down."""
    document = pypdfium2.PdfDocument(pdf)
    picture = document[page].render(scale=DPI / POINTS_PER_INCH, grayscale=True).to_numpy()
    document.close()
    return np.asarray(picture.reshape(picture.shape[:2]), np.uint8)


def black(pixels: NDArray[np.uint8]) -> NDArray[np.bool_]:
    """The trim: the only black line."""
    return np.asarray(pixels < 60)


def test_long_page_measures_what_the_board_does(board: tuple[BoardLines, TopsheetArea]) -> None:
    lines, area = board
    rows, columns = np.nonzero(black(rendered(long_page(lines))))
    least_x, least_y, most_x, most_y = area.trim.bounds
    assert np.ptp(columns) + 1 == pytest.approx((most_x - least_x + TRIM_STROKE_MM) * PX, abs=1.0)
    assert np.ptp(rows) + 1 == pytest.approx((most_y - least_y + TRIM_STROKE_MM) * PX, abs=1.0)


def test_every_black_pixel_lies_on_the_trim(board: tuple[BoardLines, TopsheetArea]) -> None:
    lines, area = board
    pixels = rendered(long_page(lines))
    on_trim = _strays_px(pixels, area.trim, pixels.shape[1] / 2, pixels.shape[0] / 2)
    assert len(on_trim) > 3000
    assert np.abs(on_trim).max() < 1.0 + TRIM_STROKE_MM / 2 * PX


def _strays_px(pixels: NDArray[np.uint8], trim: Polygon, middle: float, level: float
               ) -> NDArray[np.float64]:
    import shapely

    rows, columns = np.nonzero(black(pixels))
    places = shapely.points((columns + 0.5 - middle) / PX, (level - rows - 0.5) / PX)
    return np.asarray(shapely.distance(places, trim.exterior) * PX)


def test_rules_are_100_mm(board: tuple[BoardLines, TopsheetArea]) -> None:
    """On each A4 sheet, along and across."""
    lines, _ = board
    pixels = rendered(tiled_pages(lines), page=1)
    assert pixels.shape == pytest.approx((SHEET_MM[1] * PX, SHEET_MM[0] * PX), abs=1.0)
    foot = round((SHEET_MM[1] - 14.0) * PX)
    along = np.flatnonzero((pixels[foot - 2:foot + 2] < 200).any(axis=0))
    run = along[:np.argmax(np.diff(along, append=along[-1] + 9) > 1) + 1]
    assert len(run) == pytest.approx(100 * PX, abs=2.0)
    beside = round(8.0 * PX)
    across = np.flatnonzero((pixels[:, beside - 1:beside + 2] < 200).any(axis=1))
    runs = np.split(across, np.flatnonzero(np.diff(across) > 1) + 1)
    assert max(len(r) for r in runs) == pytest.approx(100 * PX, abs=2.0)


def test_sheets_laid_on_each_other_make_the_board(board: tuple[BoardLines, TopsheetArea]) -> None:
    """Each sheet shows its own piece in its own place, and neighbours agree where they overlap."""
    lines, area = board
    tiling = tiling_over(area.printed.bounds)
    assert (tiling.columns, tiling.rows) == (2, 1)
    pdf = tiled_pages(lines)
    assert len(pypdfium2.PdfDocument(pdf)) == 3
    shown = []
    for page, window in enumerate(tiling.windows, 1):
        pixels = rendered(pdf, page)
        strays = _strays_px(pixels, area.trim, (SIDE_MARGIN_MM - window.x_mm) * PX,
                            pixels.shape[0] - (FOOT_MARGIN_MM - window.y_mm) * PX)
        assert len(strays) > 500
        assert np.abs(strays).max() < 1.5 + TRIM_STROKE_MM / 2 * PX
        shown.append(Polygon([(window.x_mm, window.y_mm),
                              (window.x_mm + window.width_mm, window.y_mm),
                              (window.x_mm + window.width_mm, window.y_mm + window.height_mm),
                              (window.x_mm, window.y_mm + window.height_mm)]))
    assert shown[0].union(shown[1]).covers(area.printed)


@pytest.mark.parametrize(("changed", "says"), [
    ((), "2 sheets, 2 along and 1 across, from tail to nose. Lay each over its neighbour"),
    ((('"30 cm"', '"25 cm"'),), "It is all on one sheet.")])
def test_the_first_sheet_says_how_they_are_joined(
        small_job: Callable[..., Path], changed: tuple[tuple[str, str], ...], says: str) -> None:
    job = read_job(small_job(*changed))
    board = board_of(job)
    document = pypdfium2.PdfDocument(tiled_pages(board_lines(job, board.outline, board.area)))
    assert says in " ".join(document[0].get_textpage().get_text_bounded().split())
    document.close()


@pytest.mark.parametrize("bounds", [(-798.0, -157.0, 798.0, 157.0), (-100.0, -40.0, 100.0, 40.0),
                                    (-1500.0, -300.0, 1500.0, 300.0)])
def test_tiling(bounds: tuple[float, float, float, float]) -> None:
    tiling = tiling_over(bounds)
    assert len(tiling.windows) == tiling.columns * tiling.rows
    for join in tiling.joins:
        assert sum(w.holds(join.x_mm, join.y_mm) for w in tiling.windows) >= 2, join
    for one, other in zip(tiling.windows, tiling.windows[1:], strict=False):
        if one.row == other.row:
            assert one.x_mm + one.width_mm - other.x_mm >= 15.0 - 1e-9
    assert min(w.x_mm for w in tiling.windows) < bounds[0]
    assert max(w.y_mm + w.height_mm for w in tiling.windows) > bounds[3]


@pytest.mark.parametrize("width_mm", [178.0, 300.0, 330.0, 345.0, 500.0])
@pytest.mark.parametrize("length_mm", [508.0, 700.0, 1600.0])
def test_no_two_join_marks_lie_on_each_other(length_mm: float, width_mm: float) -> None:
    tiling = tiling_over((-length_mm / 2, -width_mm / 2, length_mm / 2, width_mm / 2))
    places = np.array([(join.x_mm, join.y_mm) for join in tiling.joins])
    away = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
    assert away[~np.eye(len(places), dtype=bool)].min() >= 12.0
    for window in tiling.windows:
        for other in tiling.windows:
            beside = abs(window.row - other.row) + abs(window.column - other.column) == 1
            if beside:
                assert sum(window.holds(x, y) and other.holds(x, y) for x, y in places) >= 2
    assert [join.number for join in tiling.joins] == list(range(1, len(places) + 1))
