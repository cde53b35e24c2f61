"""Tables of points as people write them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from preflight.board.board_outline import BoardOutline
from preflight.board.outline_from_numbers import BoardNumbers, outline_from_numbers
from preflight.board.outline_from_points import read_points_table
from preflight.input_problem import InputProblem

BOARD = outline_from_numbers(BoardNumbers(
    length_mm=1600.0, nose_width_mm=300.0, waist_width_mm=254.0, contact_length_mm=1200.0,
    taper_mm=12.0))
RING = BOARD.ring_mm[::5]
HALF = BOARD.ring_mm[BOARD.ring_mm[:, 1] >= 0.0]


def written(folder: Path, text: str) -> Path:
    path = folder / "outline.csv"
    path.write_text(text, encoding="utf-8")
    return path


def table(points: object, *, head: str = "", sep: str = ",", comma: bool = False) -> str:
    lines = [f"{x:.6f}{sep}{y:.6f}" for x, y in np.asarray(points)]
    if comma:
        lines = [line.replace(".", ",") for line in lines]
    return "\n".join(([head] if head else []) + lines) + "\n"


def is_the_board(outline: BoardOutline) -> bool:
    apart = float(outline.polygon.symmetric_difference(BOARD.polygon).area)
    return apart < 50.0 and bool(outline.polygon.exterior.is_ccw)


@pytest.mark.parametrize(("sep", "comma"), [
    (",", False), (";", False), ("\t", False), (" ", False), (", ", False), ("; ", True),
    ("\t", True), ("  ", True)])
def test_any_separator_reads_alike(tmp_path: Path, sep: str, comma: bool) -> None:
    outline = read_points_table(written(tmp_path, table(RING, sep=sep, comma=comma)))
    assert len(outline.ring_mm) == len(RING)
    assert outline.ring_mm == pytest.approx(RING, abs=1e-5)
    assert outline.remarks == ()


@pytest.mark.parametrize(("head", "factor"), [
    ("x,y", 1.0), ("x_mm,y_mm", 1.0), ("X (cm), Y (cm)", 10.0), ("x_in,y_in", 25.4),
    ("x cm,y cm", 10.0), ("x [m],y [m]", 1000.0)])
def test_heading_declares_the_unit(tmp_path: Path, head: str, factor: float) -> None:
    text = table(RING / factor, head=head)
    assert is_the_board(read_points_table(written(tmp_path, text)))


def test_heading_names_the_columns(tmp_path: Path) -> None:
    lines = ["no;y_mm;x_mm"] + [f"{i};{y:.4f};{x:.4f}" for i, (x, y) in enumerate(RING)]
    assert is_the_board(read_points_table(written(tmp_path, "\n".join(lines))))


def test_unit_may_be_told_by_the_caller(tmp_path: Path) -> None:
    assert is_the_board(read_points_table(written(tmp_path, table(RING / 10)), unit="cm"))
    with pytest.raises(InputProblem, match="furlong"):
        read_points_table(written(tmp_path, table(RING)), unit="furlong")


def test_byte_order_mark_and_comments_are_passed_over(tmp_path: Path) -> None:
    text = "\ufeff# drawn in the flat\n\n" + table(RING, head="x,y")
    assert is_the_board(read_points_table(written(tmp_path, text)))
    wide = tmp_path / "wide.csv"
    wide.write_text(table(RING), encoding="utf-16")
    assert is_the_board(read_points_table(wide))


def test_half_is_mirrored_and_said(tmp_path: Path) -> None:
    outline = read_points_table(written(tmp_path, table(HALF)))
    assert is_the_board(outline)
    assert outline.remarks == ("The table holds one half; it was mirrored across the centre "
                               "line.",)
    lower = read_points_table(written(tmp_path, table(HALF * [1, -1])))
    assert is_the_board(lower)


def test_half_with_cut_ends_is_mirrored(tmp_path: Path) -> None:
    x = np.linspace(-400.0, 400.0, 33)
    outline = read_points_table(written(tmp_path, table(np.column_stack([x, 100 + x**2 / 1e4]))))
    assert outline.width_at(0.0) == pytest.approx(200.0)
    assert outline.length_mm == 800.0


def test_ring_elsewhere_is_moved_and_said(tmp_path: Path) -> None:
    outline = read_points_table(written(tmp_path, table(RING + np.array([800.0, 150.0]))))
    assert is_the_board(outline)
    assert outline.remarks == ("The outline was moved by -800 mm along and -150 mm across, so "
                               "that its middle is the origin.",)


def test_upright_drawing_is_laid_down_nose_first(tmp_path: Path) -> None:
    upright = np.column_stack([-RING[:, 1], RING[:, 0]])
    outline = read_points_table(written(tmp_path, table(upright)))
    assert is_the_board(outline)
    assert outline.remarks == ("The points stand upright; their top was taken for the nose.",)


def test_order_closing_point_and_repeats_do_not_matter(tmp_path: Path) -> None:
    points = np.repeat(RING[::-1], 2, axis=0)
    closed = np.concatenate([points, points[:1]])
    outline = read_points_table(written(tmp_path, table(closed)))
    assert is_the_board(outline)
    assert len(outline.ring_mm) == len(RING)


def test_smooth_curve_passes_through_the_points(tmp_path: Path) -> None:
    few = BOARD.ring_mm[::12]
    straight = read_points_table(written(tmp_path, table(few)))
    smooth = read_points_table(written(tmp_path, table(few)), smooth=True)
    assert len(smooth.ring_mm) > 2 * len(few)
    true = BOARD.polygon.area
    assert abs(smooth.polygon.area - true) < abs(straight.polygon.area - true) / 5
    assert "smooth" in smooth.remarks[-1]


@pytest.mark.parametrize(("text", "told"), [
    ("", "no points"),
    ("x,y\n", "0 different points"),
    (table(RING[:7]), "7 different points"),
    (table(RING).replace("\n", "\nnan,3\n", 1), "line 2: found 'nan'"),
    (table(RING).replace("\n", "\n5,inf\n", 1), "line 2: found 'inf'"),
    (table(RING).replace("\n", "\n1,5,2,5\n", 1), "line 2: found '1,5,2,5'"),
    (table(RING, sep=";").replace("\n", "\n1.234,5;3\n", 1), "line 2: found '1.234,5'"),
    (table(RING) + "7\n", "found '7'"),
    (table(RING / 10), "a board 160 mm long"),
    (table(RING * 10), "a board 16000 mm long"),
    (table(RING).replace(",", "\0"), "something other than text"),
])
def test_unusable_tables_are_refused(tmp_path: Path, text: str, told: str) -> None:
    with pytest.raises(InputProblem) as caught:
        read_points_table(written(tmp_path, text))
    assert told in str(caught.value)
    assert "outline.csv" in caught.value.where


def test_crossing_names_a_line_nearby(tmp_path: Path) -> None:
    crossed = RING.copy()
    crossed[[60, 63]] = crossed[[63, 60]]
    with pytest.raises(InputProblem) as caught:
        read_points_table(written(tmp_path, table(crossed)))
    line = int(caught.value.where.split("line ")[1])
    assert 59 <= line <= 66
    assert "crosses" in str(caught.value)


def test_missing_and_binary_files_are_refused(tmp_path: Path) -> None:
    with pytest.raises(InputProblem, match="no such file"):
        read_points_table(tmp_path / "none.csv")
    with pytest.raises(InputProblem):
        read_points_table(tmp_path)
    (tmp_path / "b.csv").write_bytes(bytes(range(256)))
    with pytest.raises(InputProblem, match="other than text"):
        read_points_table(tmp_path / "b.csv")
