"""A job of a photograph, drawings, flats and notes: films, checks, proof, and what contradicts."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from shapely import Point, box

from preflight.board.area_mask import row_spans
from preflight.findings import Grade
from preflight.frames.raster_grid import RasterGrid
from preflight.input_problem import InputProblem
from separations.films.film_contents import job_sheet
from separations.halftone.film_bands import dots_in, film_bands
from separations.halftone.screening import prepare as prepare_film
from separations.planes.art_separation import ArtSeparation
from separations.planes.laid_out_job import LaidOutJob
from separations.planes.overlays import Overlay, VectorWork
from tests.prepared_jobs import all_tones, contents_of, laid_out, overlays_on, prepare, separated

LINES = '[[art]]\nfile = "lines.png"\nkind = "line"\nink = "Black"\nturn = 90\n'
WHITE = ('heat_limit = "140 °C"\n[[ink]]\nname = "White"\nover_white = [95, 0, 2]\n'
         'opacity = 0.9\nprints = "line work"\nangle = 37.5\n')
SVG = """<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 40">
<rect x="10" y="10" width="30" height="20" fill="#0000ff"/>
<circle cx="40" cy="20" r="8" fill="#ffff00"/>
<path d="M60 20 H90" stroke="#000000" stroke-width="1.2"/></svg>"""
DRAWING = """[[art]]
file = "shapes.svg"
kind = "line"
place = "scale"
width = "100 mm"
turn = 90
colours = { "#0000ff" = "Cyan", "#ffff00" = "White", "#000000" = "Black" }
"""
Films = dict[str, NDArray[np.bool_]]


def job_with(small_job: Callable[..., Path], art: str) -> Path:
    """The small job with other art than its drawn picture, and with a white ink."""
    path = small_job((LINES, art))
    text = path.read_text(encoding="utf-8")
    head, _, tail = text.rpartition('heat_limit = "140 °C"\n')
    path.write_text(head + WHITE + tail, encoding="utf-8")
    (path.parent / "shapes.svg").write_text(SVG, encoding="utf-8")
    return path


def made(path: Path) -> tuple[LaidOutJob, ArtSeparation, tuple[Overlay, ...]]:
    laid = laid_out(path)
    separation = separated(laid, 72)
    return laid, separation, overlays_on(laid, separation, 72)


def films(parts: tuple[LaidOutJob, ArtSeparation, tuple[Overlay, ...]],
          bounds: tuple[float, float, float, float]) -> tuple[Films, RasterGrid]:
    """Every ink's dots within some bounds, and the grid they lie on."""
    grid = job_sheet(parts[0]).art_grid
    top, left = round(grid.row_of(bounds[2])), round(grid.column_of(bounds[3]))
    end, right = round(grid.row_of(bounds[0])), round(grid.column_of(bounds[1]))
    crops = {ink: dots_in(content, top, end, left, right)
             for ink, content in contents_of(*parts).items()}
    part = RasterGrid(top_x_mm=grid.top_x_mm - top * grid.pixel_mm,
                      left_y_mm=grid.left_y_mm - left * grid.pixel_mm, pixel_mm=grid.pixel_mm,
                      rows=end - top, columns=right - left)
    return crops, part


def inside(area: object, grid: RasterGrid) -> NDArray[np.bool_]:
    return row_spans(area, grid).inside()


def work(overlays: tuple[Overlay, ...], ink: str) -> VectorWork:
    return next(s for s in overlays if isinstance(s, VectorWork) and s.drawn.ink == ink)


def test_drawn_work_lies_on_all_films_alike(small_job: Callable[..., Path]) -> None:
    parts = made(job_with(small_job, DRAWING))
    crops, grid = films(parts, (-52, -22, 52, 22))
    blue = box(-40, -10, -10, 10).difference(Point(-10, 0).buffer(8, quad_segs=300))
    stroke = box(10, -0.6, 40, 0.6)
    for ink, drawn, others in (("Cyan", blue, ("Magenta", "Yellow", "Black")),
                               ("Black", stroke, ("Magenta", "Yellow", "Cyan"))):
        core = inside(drawn.buffer(-0.3), grid)
        assert crops[ink][inside(drawn.buffer(-0.03), grid)].all()
        for other in others:
            assert not crops[other][core].any(), (ink, other)
    bare, _ = films((*parts[:2], ()), (-52, -22, 52, 22))
    near = inside(box(12, -3, 38, 3), grid)
    assert np.array_equal(crops["Black"][near], (bare["Black"] | inside(stroke, grid))[near])


def test_the_lighter_white_spreads_into_blue_and_blue_keeps_none(
        small_job: Callable[..., Path]) -> None:
    _, _, overlays = parts = made(job_with(small_job, DRAWING))
    white = work(overlays, "White")
    assert white.visible.area == pytest.approx(64 * np.pi, rel=1e-3)
    assert white.printed.area == pytest.approx(8.25**2 * np.pi, rel=2e-2)
    crops, grid = films(parts, (-40, -20, 10, 20))
    ring = inside(Point(-10, 0).buffer(8.2).difference(Point(-10, 0).buffer(8.05)).intersection(
        box(-30, -9, -10, 9)), grid)
    assert crops["White"][ring].all()
    assert crops["Cyan"][ring].all()
    core = inside(Point(-10, 0).buffer(7.95).intersection(box(-30, -9, -10.5, 9)), grid)
    assert not crops["Cyan"][core].any()


def test_a_lighter_flat_below_runs_under_the_darker_drawing(small_job: Callable[..., Path]) -> None:
    flat = '[[art]]\nkind = "flat"\nink = "Yellow"\n'
    drawing = DRAWING.replace('"White"', '"Black"')
    laid, _, overlays = parts = made(job_with(small_job, flat + drawing))
    blue = work(overlays, "Cyan")
    crops, grid = films(parts, (-42, -12, -20, 12))
    assert work(overlays, "Yellow").visible.area == pytest.approx(laid.area.printed.area)
    rim = inside(blue.visible.difference(blue.visible.buffer(-0.2)), grid)
    rim &= inside(box(-41, -11, -21, 11), grid)
    assert crops["Yellow"][rim].all()
    assert crops["Cyan"][rim].all()
    assert not crops["Yellow"][inside(box(-39, -9, -20, 9), grid)].any()


def test_a_flat_lies_below_a_later_photograph(small_job: Callable[..., Path]) -> None:
    mask = np.zeros((90, 310), np.uint8)
    mask[:, 155:] = 255
    photo = '[[art]]\nfile = "photo.png"\nturn = 90'
    path = small_job((photo, '[[art]]\nkind = "flat"\nink = "Cyan"\ntint = "40 %"\n' + photo
                      + '\nopacity = "mask.png"'), (LINES, ""))
    cv2.imwrite(str(path.parent / "mask.png"), mask)
    laid, separation, overlays = parts = made(path)
    flat = work(overlays, "Cyan")
    least_x, _, greatest_x, _ = flat.visible.bounds
    assert least_x == pytest.approx(laid.area.printed.bounds[0], abs=0.1)
    assert greatest_x == pytest.approx(0.25, abs=0.6)
    assert separation.see_through is not None
    assert 0.4 < separation.see_through.sum() / separation.inside.sum() < 0.6
    crops, grid = films(parts, (-60, -20, 60, 20))
    away = inside(box(-60, -20, -1, 20), grid)
    assert not crops["Magenta"][away].any()
    assert crops["Cyan"][away].mean() == pytest.approx(0.4, abs=0.01)
    assert crops["Magenta"][inside(box(2, -20, 60, 20), grid)].any()


def test_an_opacity_mask_has_the_photos_proportions(small_job: Callable[..., Path]) -> None:
    path = small_job(("turn = 90\n[[art]]", 'turn = 90\nopacity = "mask.png"\n[[art]]'))
    cv2.imwrite(str(path.parent / "mask.png"), np.zeros((100, 100), np.uint8))
    with pytest.raises(InputProblem, match="an opacity mask of the photo's proportions"):
        made(path)


def test_the_proof_shows_what_the_films_hold(small_job: Callable[..., Path]) -> None:
    laid, separation, overlays = parts = made(job_with(small_job, DRAWING))
    tones = all_tones(laid, separation, overlays, separation.grid)
    film = job_sheet(laid).art_grid
    for number, content in enumerate(contents_of(*parts).values()):
        ink = sum(int(np.bitwise_count(band).sum()) for band in film_bands(content))
        proofed = tones[number].sum(dtype=float) / 65_535 * separation.grid.pixel_mm**2
        assert ink * film.pixel_mm**2 == pytest.approx(proofed, rel=0.03), number


def test_findings_of_notes_and_fine_lines(small_job: Callable[..., Path]) -> None:
    svg = SVG.replace('stroke-width="1.2"', 'stroke-width="0.06"')
    notes = "".join(f'[[note]]\ntext = "{text}"\nat = ["{x} mm", "{y} mm"]\nink = "Black"\n{more}\n'
                    for text, x, y, more in (
                        ("Upper cove", 0, 0, ""), ("Cove", 6, 1, ""), ("Edge", 0, 35, ""),
                        ("tiny", -60, 0, 'type_size = "3 pt"'), ("Far run", 80, 0, "")))
    path = job_with(small_job, DRAWING + notes)
    (path.parent / "shapes.svg").write_text(svg, encoding="utf-8")
    found = prepare(path, finest_ppi=72).findings
    cares = {(f.id, f.subject) for f in found if f.grade is Grade.CARE}
    assert {("notes-apart", "Upper cove"), ("safety-margin", "Edge"), ("type-size", "tiny"),
            ("finest-lines", "shapes.svg")} <= cares
    assert not {subject for _, subject in cares} & {"Far run"}
    assert ("safety-margin", "shapes.svg") not in cares
    clear = {(f.id, f.subject) for f in found if f.grade is Grade.CLEAR}
    assert ("finest-gaps", "Far run") in clear


def test_findings_of_lines_and_their_names(small_job: Callable[..., Path]) -> None:
    lines = "".join(
        f'[[line]]\npoints = [["{x} mm", "{y} mm"], ["{x + 40} mm", "{y} mm"]]\nink = "Black"\n'
        f"{more}\n" for x, y, more in (
            (80, 0, 'name = "Dyke"\narrow = "4 mm"'), (0, 37, 'name = "Shore"'),
            (0, -10, 'width = "0.05 mm"'), (20, 12, 'name = "Ford"\ntype_size = "3 pt"'),
            (500, 0, "")))
    found = prepare(job_with(small_job, lines), finest_ppi=72).findings
    told = {(f.id, f.subject) for f in found if f.grade is not Grade.CLEAR}
    assert {("safety-margin", "Shore"), ("finest-lines", "line 3"), ("type-size", "Ford"),
            ("on-the-board", "line 5")} <= told
    assert not {name for name, subject in told if subject == "Dyke"}
    clear = {(f.id, subject) for f in found if f.grade is Grade.CLEAR for subject in f.subjects}
    assert {("type-size", "Dyke"), ("finest-gaps", "Dyke"),
            ("drawings-stand-out", "Dyke")} <= clear


def test_a_line_is_cut_at_the_film_s_own_pixels(small_job: Callable[..., Path]) -> None:
    path = job_with(small_job, '[[line]]\npoints = [["-60 mm", "0 mm"], ["60 mm", "0 mm"]]\n'
                               'ink = "Black"\nwidth = "1.5 mm"\n')
    laid, *_ = parts = made(path)
    film = job_sheet(laid).art_grid
    middle = round(film.row_of(0.0))
    solid = 1.5 / film.pixel_mm
    for ink, content in contents_of(*parts).items():
        left, right = round(film.column_of(3.0)), round(film.column_of(-3.0))
        bits = dots_in(prepare_film(content), middle - 20, middle + 20, left, right)
        centre = bits.shape[1] // 2
        line = bits[:, centre - round(solid / 2) + 2:centre + round(solid / 2) - 2]
        if ink == "Black":
            assert line.all()
            # No shorter run of ink, and a longer one only where a halftone dot touches it.
            assert solid - 1 <= np.median(runs_through(bits, centre)) <= solid + 9
        elif ink != "White":
            assert not line[:, 6:-6].any()  # knocked out, but for the trap


def runs_through(bits: NDArray[np.bool_], column: int) -> NDArray[np.int64]:
    """Length of the run of ink that crosses a column, row by row."""
    left = np.argmin(bits[:, column::-1], axis=1)
    right = np.argmin(bits[:, column:], axis=1)
    return np.asarray(left + right - 1, np.int64)


@pytest.mark.parametrize(("old", "new", "found"), [
    ('colours = {', 'ink = "Black"\ncolours = {', "'ink' and 'colours'"),
    ('"#0000ff" = "Cyan", ', "", "no ink for #0000ff"), ('"Cyan"', '"Blue"', "'Blue'"),
    ('"#0000ff"', '"blue"', "found the colour 'blue'; a colour such as \"#1a1a1a\""),
    ('"shapes.svg"', '"none.svg"', "no such file"),
    ('kind = "line"', 'kind = "line"\ntint = "0 %"', "a tint above 0 %"),
    ('kind = "line"', 'kind = "line"\nopacity = "a.png"', "'opacity' on a photo only"),
    ('file = "shapes.svg"\nkind = "line"', 'kind = "line"', "found nothing"),
    ('file = "shapes.svg"\nkind = "line"', 'file = "lines.png"\nkind = "flat"', "an SVG or a PDF"),
])
def test_faults_are_named(small_job: Callable[..., Path], old: str, new: str, found: str) -> None:
    path = job_with(small_job, DRAWING.replace(old, new))
    with pytest.raises(InputProblem, match=found):
        laid_out(path)


def test_white_of_a_one_ink_drawing_is_paper(small_job: Callable[..., Path]) -> None:
    drawing = DRAWING[:DRAWING.index("colours")] + 'ink = "Black"\n'
    path = job_with(small_job, drawing)
    (path.parent / "shapes.svg").write_text(SVG.replace("#ffff00", "white"), encoding="utf-8")
    areas = [drawn.area.area for drawn in laid_out(path).drawn]
    half_disc = Point(0, 0).buffer(8, quad_segs=300).intersection(box(-9, -9, 0, 9)).area
    assert areas == pytest.approx([600 - half_disc + 36], rel=1e-4)
