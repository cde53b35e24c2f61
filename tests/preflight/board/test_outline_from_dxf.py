"""DXF drawings: units, layers, damage and excess, each with its sentence."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ezdxf
import ezdxf.units
import pytest

from preflight.board import outline_pieces
from preflight.board.outline_from_file import read_outline_file
from preflight.input_problem import InputProblem
from tests.drawn_eggs import egg_corners, greatest_stray_mm


def drawn(path: Path, unit_mm: float = 1.0, code: int = 4, layer: str = "0") -> Path:
    document = ezdxf.new(units=code)
    document.modelspace().add_lwpolyline(egg_corners(unit_mm), format="xyb", close=True,
                                         dxfattribs={"layer": layer})
    document.saveas(path)
    return path


def sentence(path: Path, **keys: Any) -> str:
    with pytest.raises(InputProblem) as caught:
        read_outline_file(path, **keys)
    return caught.value.sentence.replace(str(path.parent) + "/", "")


@pytest.mark.parametrize(("code", "unit_mm", "says"), [
    (4, 1000.0, 'a.dxf: found a board 1.58 mm long (its header says millimetres); '
                'outline_unit = "m" (1580 mm) would do.'),
    (4, 25.4, 'a.dxf: found a board 62.2 mm long (its header says millimetres); '
              'outline_unit = "in" (1580 mm) would do.'),
    (4, 10.0, 'a.dxf: found a board 158 mm long (its header says millimetres); '
              'outline_unit = "cm" (1580 mm) would do.'),
    (1, 1.0, 'a.dxf: found a board 40130 mm long (its header says inches); '
             'outline_unit = "mm" (1580 mm) would do.'),
    (0, 1.0, 'a.dxf: found a drawing 1580 units long that does not say its unit; '
             'outline_unit = "mm" (1580 mm) would do.'),
    (4, 100_000.0, 'a.dxf: found a board 0.0158 mm long (its header says millimetres); a board of '
                   '200 to 3000 mm, drawn 1:1, would do.')])
def test_a_wrong_scale_is_told_with_the_unit_that_would_fit(
        tmp_path: Path, code: int, unit_mm: float, says: str) -> None:
    assert sentence(drawn(tmp_path / "a.dxf", unit_mm, code)) == says


@pytest.mark.parametrize(("code", "mm"), [
    (1, 25.4), (2, 304.8), (4, 1.0), (5, 10.0), (6, 1000.0), (9, 0.0254), (13, 0.001), (14, 100.0)])
def test_every_unit_of_a_header_is_read(tmp_path: Path, code: int, mm: float) -> None:
    """Codes: DXF reference, $INSUNITS; held against the library's own table, which lacks mils."""
    if code != 9:
        assert ezdxf.units.conversion_factor(code, 4) == pytest.approx(mm)
    outline = read_outline_file(drawn(tmp_path / "a.dxf", mm, code))
    assert greatest_stray_mm(outline.ring_mm) < 0.005


def test_the_jobs_unit_wins_and_is_told(tmp_path: Path) -> None:
    path = drawn(tmp_path / "a.dxf", 25.4, code=4)
    outline = read_outline_file(path, unit="in")
    assert greatest_stray_mm(outline.ring_mm) < 0.005
    assert outline.remarks[:2] == (
        "a.dxf: the outline is 1580.00 × 300.00 mm; the job says in.",
        "The drawing's header says millimetres; the job's outline_unit 'in' was taken.")
    assert sentence(path, unit="px") == \
        "a.dxf: found the unit 'px' for a DXF drawing; one of mm, cm, in, m would do."


def test_layers(tmp_path: Path) -> None:
    document = ezdxf.new(units=4)
    space = document.modelspace()
    space.add_lwpolyline(egg_corners(), format="xyb", close=True, dxfattribs={"layer": "Trim"})
    space.add_lwpolyline([(x * 0.96, y * 0.96, b) for x, y, b in egg_corners()], format="xyb",
                         close=True, dxfattribs={"layer": "Core"})
    space.add_lwpolyline(egg_corners(0.8), format="xyb", close=True,
                         dxfattribs={"layer": "Hidden"})
    document.layers.add("Hidden").off()
    path = tmp_path / "a.dxf"
    document.saveas(path)
    assert greatest_stray_mm(read_outline_file(path, layer="TRIM").ring_mm) < 0.005
    assert read_outline_file(path, layer="Core").length_mm == pytest.approx(1580 * 0.96, abs=1)
    assert sentence(path).startswith(
        "a.dxf: found 2 closed rings that could be the board (1580 × 300 mm on 'Trim', ")
    assert sentence(path).endswith(
        "on 'Core'); outline_layer with the name of one of these layers would do.")
    assert sentence(path, layer="Base") == \
        "a.dxf: found no lines on a layer 'Base'; one of 'Core', 'Trim' would do."


def test_what_is_no_drawing(tmp_path: Path) -> None:
    asked = "an ASCII or binary DXF drawing of at most 20 MB would do."
    path = tmp_path / "a.dxf"
    assert sentence(path) == f"a.dxf: found no such file; {asked}"
    for raw in (b"", b"\0" * 64, b"hello\nworld\n", b"  0\nSECTION\n  2\nENTITIES\n", b"\xff\xd8"):
        path.write_bytes(raw)
        assert sentence(path).startswith("a.dxf: found no ")
    path.write_bytes(b"AC1032" + bytes(100))
    assert sentence(path) == ("a.dxf: found a drawing in the DWG format; the same drawing saved as "
                              "DXF would do.")
    ezdxf.new(units=4).saveas(path)
    assert sentence(path) == ("a.dxf: found no line or curve; a drawing with the board's outline "
                              "would do.")
    with path.open("wb") as stream:
        stream.truncate(20_000_001)
    assert sentence(path) == f"a.dxf: found more than 20 MB; {asked}"


def test_damaged_drawings_end_in_a_sentence(tmp_path: Path) -> None:
    """Cut short, or with figures struck out, a drawing is read or refused, nothing else."""
    whole = drawn(tmp_path / "a.dxf").read_text(encoding="utf-8")
    path = tmp_path / "b.dxf"
    start = whole.rindex("LWPOLYLINE")
    for cut in range(start - 40, len(whole), 97):
        path.write_text(whole[:cut], encoding="utf-8")
        _read_or_refuse(path)
    for old in ("1580", "90\n", "SEEK", "\n 42\n", "AcDbPolyline"):
        path.write_text(whole.replace(old, "1e999", 1), encoding="utf-8")
        _read_or_refuse(path)


def _read_or_refuse(path: Path) -> None:
    try:
        read_outline_file(path)
    except InputProblem as problem:
        assert problem.sentence.endswith("would do.")  # noqa: PT017


def test_blocks_that_hold_themselves_and_too_many_copies(tmp_path: Path) -> None:
    path = tmp_path / "a.dxf"
    document = ezdxf.new(units=4)
    block = document.blocks.new("LOOP")
    block.add_line((0, 0), (1, 1))
    block.add_blockref("LOOP", (0, 0))
    document.modelspace().add_blockref("LOOP", (0, 0))
    document.saveas(path)
    assert "blocks nested more than 24 deep" in sentence(path)
    document = ezdxf.new(units=4)
    document.blocks.new("DOT").add_line((0, 0), (1, 1))
    document.modelspace().add_blockref("DOT", (0, 0), dxfattribs={
        "row_count": 30_000, "column_count": 30_000, "row_spacing": 1, "column_spacing": 1})
    document.saveas(path)
    assert sentence(path) == ("a.dxf: found more than 20,000 entities; a drawing of the board's "
                              "outline alone would do.")
    document = ezdxf.new(units=4)
    for level in range(12):  # ten of ten of ten …
        block = document.blocks.new(f"L{level}")
        for copy in range(10):
            if level:
                block.add_blockref(f"L{level - 1}", (copy, 0))
            else:
                block.add_line((0, 0), (1, 1))
    document.modelspace().add_blockref("L11", (0, 0))
    document.saveas(path)
    assert "more than 20,000 entities" in sentence(path)


def test_curves_without_end_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.dxf"
    document = ezdxf.new(units=6)
    for radius in (1e12, 1e13):
        document.modelspace().add_circle((0, 0), radius)
    document.saveas(path)
    assert "more than 1,000,000 points" in sentence(path)
    assert outline_pieces.MOST_POINTS == 1_000_000


def test_binary_drawings_and_old_ones(tmp_path: Path) -> None:
    path = tmp_path / "a.dxf"
    document = ezdxf.readfile(drawn(path))
    document.saveas(path, fmt="bin")
    assert path.read_bytes()[:4] != b"  0\n"
    assert greatest_stray_mm(read_outline_file(path).ring_mm) < 0.005
    old = ezdxf.new("R12")  # has no units in its header
    old.modelspace().add_polyline2d(egg_corners(), format="xyb", close=True)
    old.saveas(path)
    assert "does not say its unit" in sentence(path)
    assert greatest_stray_mm(read_outline_file(path, unit="mm").ring_mm) < 0.005


def test_an_outline_in_space_is_refused(tmp_path: Path) -> None:
    document = ezdxf.new(units=4)
    document.modelspace().add_polyline3d(
        [(-700, -100, 0), (700, -100, 60), (700, 100, 60), (-700, 100, 0)], close=True)
    path = tmp_path / "a.dxf"
    document.saveas(path)
    assert sentence(path) == ("a.dxf: found an outline that rises by 60 mm; a flat drawing, in "
                              "plan or developed, would do.")


@pytest.mark.parametrize("straight", [False, True])
def test_a_hole_is_no_board_where_the_outline_has_gaps(tmp_path: Path, straight: bool) -> None:
    path = tmp_path / "a.dxf"
    document = ezdxf.new(units=1)
    space = document.modelspace()
    if straight:
        for start, end in (((0.01, 0), (20, 0)), ((20, 0.01), (20, 7)), ((19.99, 7), (0, 7)),
                           ((0, 6.99), (0, 0))):
            space.add_line(start, end)
    else:
        space.add_lwpolyline([(3.51, 7), (20, 7), (20, 0), (10.01, 0)])
        space.add_lwpolyline([(9.99, 0), (0, 0), (0, 7), (3.49, 7)])
    space.add_circle((5, 3), 0.15)
    document.saveas(path)
    told = sentence(path)
    assert "an outline with a gap of 0." in told
    assert "outline_gap = \"0." in told
    assert "outline_unit" not in told
    outline = read_outline_file(path, gap_mm=0.6)
    assert outline.length_mm == pytest.approx(508.0, abs=0.3)
    assert any("hole" in remark or "1 smaller closed ring" in remark
               for remark in outline.remarks)


def test_arcs_and_circles_without_a_size_are_no_part_of_the_outline(tmp_path: Path) -> None:
    document = ezdxf.readfile(drawn(tmp_path / "a.dxf"))
    document.modelspace().add_arc((0, 0), 0, 0, 180)
    document.modelspace().add_circle((10, 0), 0)
    document.saveas(tmp_path / "a.dxf")
    outline = read_outline_file(tmp_path / "a.dxf")
    assert outline.length_mm == pytest.approx(1580, abs=0.01)
