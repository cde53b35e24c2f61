"""The board's drawings, read back by our readers and by others."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from xml.etree.ElementTree import fromstring

import ezdxf
import numpy as np
import pytest
from click.testing import CliRunner
from shapely.geometry import LinearRing

from preflight.board.outline_from_file import read_outline_file
from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.command_line import topsheet
from separations.films.film_sheet import film_sheet
from separations.pipeline.calls import check_job
from separations.planes.laid_out_job import board_of
from separations.uses.board_drawings.drawing_set import draw_board
from tests.drawn_eggs import egg_corners, greatest_stray_mm
from tests.prepared_jobs import laid_out

SmallJob = Callable[..., Path]
NUMBERS = """length = "30 cm"
contact_length = "20 cm"
nose_width = "8 cm"
waist_width = "7 cm"
tail_width = "7.8 cm"
"""


def test_each_drawing_reads_back_as_the_same_board(small_job: SmallJob, tmp_path: Path) -> None:
    job_path = small_job()
    draw_board(job_path, tmp_path / "out")
    board = board_of(read_job(job_path))
    outline, area = board.outline, board.area
    for name, layers in (("outline.dxf", ("Trim", "Printed area", "Safe area")),
                         ("outline.svg", ("trim", "printed-area", "safe-area"))):
        for layer, polygon in zip(layers, (area.trim, area.printed, area.safe), strict=True):
            read = read_outline_file(tmp_path / "out" / name, layer=layer)
            assert LinearRing(read.ring_mm).hausdorff_distance(polygon.exterior) < 0.01
            assert read.area_mm2 == pytest.approx(polygon.area, rel=1e-5)
    assert outline.length_mm == pytest.approx(300)


def test_dxf_by_its_own_library(small_job: SmallJob, tmp_path: Path) -> None:
    """Units, layers, and register marks where the films have them."""
    job_path = small_job()
    draw_board(job_path, tmp_path / "out")
    document = ezdxf.readfile(tmp_path / "out" / "outline.dxf")
    assert not document.audit().errors
    assert document.header["$INSUNITS"] == 4
    space = document.modelspace()
    area = board_of(read_job(job_path)).area
    ring = [(x, y) for x, y, *_ in space.query('LWPOLYLINE[layer=="Trim"]').first.get_points()]
    assert LinearRing(ring).hausdorff_distance(area.trim.exterior) < 1e-5
    marks = sorted((c.dxf.center.x, c.dxf.center.y)
                   for c in space.query('CIRCLE[layer=="Register marks"]'))
    sheet = film_sheet(area.printed.bounds, area.trim.bounds, 600.0)
    aside = 2.5 + 11.0 / 2  # the marks' ring begins beside the image
    expected = sorted(
        (x, y) for x in (area.printed.bounds[0] - aside, 0.0, area.printed.bounds[2] + aside)
        for y in (area.printed.bounds[1] - aside, 0.0, area.printed.bounds[3] + aside)
        if (x, y) != (0.0, 0.0))
    assert np.abs(np.array(marks) - np.array(expected)).max() < 1.1 * sheet.page_grid.pixel_mm
    assert {e.dxf.layer for e in space} == {
        "Trim", "Printed area", "Safe area", "Register marks", "Centre lines", "Notes"}
    words = [e.dxf.text for e in space.query("TEXT")]
    assert "Length 300.0 mm, greatest width 80.0 mm" in words


def test_drilled_holes_stand_where_they_are_drilled(
        small_job: SmallJob, tmp_path: Path) -> None:
    inserts = '[inserts]\npattern = "4x4"\nstance = "12 cm"\nholes_in_row = 2\n\n[area]'
    job_path = small_job(("[area]", inserts))
    draw_board(job_path, tmp_path / "out")
    packs = laid_out(job_path).fittings.inserts
    holes = sorted((x, y) for pack in packs for x, y in pack.holes_mm.tolist())
    assert len(holes) == 8
    circles = ezdxf.readfile(tmp_path / "out" / "outline.dxf").modelspace().query(
        'CIRCLE[layer=="Drilled holes"]')
    drawn = sorted((c.dxf.center.x, c.dxf.center.y) for c in circles)
    assert np.abs(np.array(drawn) - np.array(holes)).max() < 1e-5
    assert {c.dxf.radius for c in circles} == {6.6 / 2}
    shown = fromstring((tmp_path / "out" / "outline.svg").read_bytes()).findall(
        "{*}g[@id='drilled-holes']/{*}circle")
    drawn = sorted((float(c.attrib["cx"]), -float(c.attrib["cy"])) for c in shown)
    assert np.abs(np.array(drawn) - np.array(holes)).max() < 1e-3


def test_svg_is_one_to_one(small_job: SmallJob, tmp_path: Path) -> None:
    draw_board(small_job(), tmp_path / "out")
    root = fromstring((tmp_path / "out" / "outline.svg").read_bytes())
    box = [float(v) for v in root.attrib["viewBox"].split()]
    assert root.attrib["width"] == f"{box[2]:g}mm"
    assert root.attrib["height"] == f"{box[3]:g}mm"


def test_same_bytes_and_whole_or_not_at_all(small_job: SmallJob, tmp_path: Path) -> None:
    job_path = small_job()
    draw_board(job_path, tmp_path / "one")
    draw_board(job_path, tmp_path / "two")
    names = sorted(p.name for p in (tmp_path / "one").iterdir() if not p.name.startswith("."))
    assert names == ["outline.dxf", "outline.svg", "template-a4.pdf", "template.pdf"]
    for name in names:
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()
    assert not ezdxf.options.write_fixed_meta_data_for_testing
    wrong = small_job((NUMBERS, 'outline = "none.dxf"\n'))
    with pytest.raises(InputProblem, match="no such file"):
        draw_board(wrong, tmp_path / "three")
    assert not (tmp_path / "three").exists()


def test_command_needs_no_art(small_job: SmallJob, tmp_path: Path) -> None:
    job_path = small_job()
    (job_path.parent / "photo.png").unlink()
    done = CliRunner().invoke(topsheet, ["outline", str(job_path)], catch_exceptions=False)
    assert done.exit_code == 0
    assert done.output.startswith(f"Wrote {job_path.parent / 'marsh-outline'}\n")
    assert "Nose 80.0 mm wide, " in done.output
    assert (tmp_path / "job" / "marsh-outline" / "template.pdf").is_file()


def test_a_job_from_a_drawing(small_job: SmallJob) -> None:
    """Drawn in inches, upright, upside down, in two runs with a gap: read, turned, and told."""
    job_path = small_job((NUMBERS, 'outline = "board.dxf"\noutline_layer = "Edge"\n'
                                   'outline_gap = "0.2 mm"\n'), ("60 cm", "220 cm"))
    corners = [(y, -x, bulge) for x, y, bulge in egg_corners(25.4 * 5)]  # 316 × 60 mm
    document = ezdxf.new(units=1)
    space = document.modelspace()
    first = [corners[0], corners[1], (*corners[2][:2], 0.0)]
    last = [(corners[2][0] + 0.05 / 25.4, *corners[2][1:]), corners[3], (*corners[0][:2], 0.0)]
    for run in (first, last):
        space.add_lwpolyline(run, format="xyb", dxfattribs={"layer": "Edge"})
    stream = io.StringIO()
    document.write(stream)
    (job_path.parent / "board.dxf").write_text(stream.getvalue(), encoding="utf-8")
    laid = laid_out(job_path)
    assert greatest_stray_mm(laid.outline.ring_mm * 5) < 0.3  # 0.05 mm, drawn at a fifth
    assert laid.remarks[:4] == (
        "board.dxf: the outline is 316.02 × 60.00 mm; its header says inches.",
        "1 gap in the outline, up to 0.05 mm wide, was closed.",
        "The drawing was turned by 90°: its wider end was drawn at the bottom.",
        "The board's two sides mirror each other within 0.05 mm.")
    assert check_job(job_path).remarks[:4] == laid.remarks[:4]
