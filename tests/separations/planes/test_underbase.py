"""White beneath a photograph, choked, and white among its inks."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.typing import NDArray

from preflight.frames.raster_grid import grid_over
from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.colour.job_inks import whole_model
from separations.halftone.film_bands import dots_in
from separations.planes.art_separation import ArtSeparation
from separations.planes.choke import choked
from tests.prepared_jobs import all_tones, laid_out, prepare, separated
from tests.small_art import write_small_job

FIRST_INK = "[[ink]]\nname = \"Yellow\""
WHITE = """[[ink]]
name = "White"
colour = "opaque white"
prints = "{prints}"
angle = 37.5
choke = "1 mm"
mesh = {{ count = "77/cm", thread = "55 um" }}
"""


def with_white(folder: Path, prints: str) -> Path:
    white = WHITE.format(prints=prints)
    if prints == "photo":
        white = white.replace("choke = \"1 mm\"\n", "")
    return with_ramp(write_small_job(folder, (FIRST_INK, white + FIRST_INK)))


def with_ramp(job: Path) -> Path:
    """The job with a photograph that runs from black to white along the board."""
    ramp = np.linspace(0, 255, 1240).astype(np.uint8)
    cv2.imwrite(str(job.parent / "photo.png"), np.tile(ramp, (360, 1)))
    return job


def separation_of(path: Path) -> ArtSeparation:
    return separated(laid_out(path), 80)


def test_an_underbase_lies_under_light_colours_only(tmp_path: Path) -> None:
    separation = separation_of(with_white(tmp_path, "underbase"))
    white, inside = separation.underbase, separation.inside
    assert white is not None
    total = separation.planes.sum(axis=0, dtype=np.int64)
    light = inside & (total <= np.percentile(total[inside], 5))
    dark = inside & (total >= np.percentile(total[inside], 99))
    assert white[light].mean() > 0.85 * 65_535
    assert white[dark].mean() < 0.6 * white[light].mean()


@pytest.mark.parametrize("ppi", [72.0, 180.0, 233.0])
@pytest.mark.parametrize("choke_mm", [0.3, 1.0])
def test_an_underbase_ends_by_its_choke_inside_the_printed_area_to_a_film_pixel(
        tmp_path: Path, ppi: float, choke_mm: float) -> None:
    path = with_white(tmp_path, "underbase")
    path.write_text(path.read_text(encoding="utf-8").replace(
        'choke = "1 mm"', f'choke = "{choke_mm} mm"').replace("600 dpi", "1440 dpi"),
        encoding="utf-8")
    cv2.imwrite(str(path.parent / "photo.png"), np.full((360, 1240, 3), 255, np.uint8))
    ready = prepare(path, finest_ppi=ppi)
    white, yellow = ready.contents[0], ready.contents[1]
    grid = white.film_grid
    assert yellow.spans is not None
    for row in range(grid.rows // 4, 3 * grid.rows // 4, 977):
        inked, = np.nonzero(dots_in(white, row, row + 1, 0, grid.columns)[0])
        left, right = yellow.spans.starts[row, 0], yellow.spans.ends[row, 0]
        for found in (inked[0] - left, right - 1 - inked[-1]):
            assert found * grid.pixel_mm == pytest.approx(choke_mm, abs=grid.pixel_mm * 1.01)


@pytest.mark.parametrize("reach", [0.4, 1.0, 2.36, 5.7, 11.2])
@pytest.mark.parametrize("turn_deg", [0.0, 11.0, 30.0, 45.0])
def test_an_edge_is_drawn_in_by_any_fraction_of_a_pixel(reach: float, turn_deg: float) -> None:
    """Where a straight edge at any angle crosses one half, along the row through the middle."""
    cos, sin = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    for at in (-0.4, 0.0, 0.3):
        steps = np.arange(-30, 31)
        plane = np.rint(255 * np.clip(
            0.5 + at - steps[None] * cos - steps[:, None] * sin, 0, 1)).astype(np.uint8)
        row = choked(plane, reach)[30].astype(float)
        last = int(np.flatnonzero(row >= 127.5)[-1])
        crossing = last - 30 + (row[last] - 127.5) / (row[last] - row[last + 1])
        assert crossing * cos == pytest.approx(at - reach, abs=0.15)


def test_colours_are_lighter_with_an_underbase(tmp_path: Path) -> None:
    lightest = []
    for job in (with_ramp(write_small_job(tmp_path / "plain")),
                with_white(tmp_path / "white", "underbase")):
        laid = laid_out(job)
        separation = separated(laid, 80)
        grid = grid_over(laid.area.printed.bounds, 1.0)
        tones = all_tones(laid, separation, (), grid)
        lab = whole_model(laid.job).predict_lab(np.moveaxis(tones, 0, -1) / 65_535)
        lightest.append(np.percentile(lab[..., 0], 99.9))
    assert lightest[0] < 74.1  # no lighter than the wood
    assert lightest[1] > lightest[0] + 5


def test_white_among_the_photo_inks_is_used_where_the_photo_is_light(tmp_path: Path) -> None:
    separation = separation_of(with_white(tmp_path, "photo"))
    white, black = separation.planes[0], separation.planes[4]
    inside = separation.inside
    assert white[inside & (black < 3000)].mean() > 2 * white[inside & (black > 50_000)].mean()


def test_a_job_has_one_underbase_and_it_comes_first(tmp_path: Path) -> None:
    path = with_white(tmp_path, "underbase")
    text = path.read_text(encoding="utf-8")
    white = WHITE.format(prints="underbase")
    path.write_text(text + white.replace("White", "Milk"), encoding="utf-8")
    with pytest.raises(InputProblem, match="a second underbase; one underbase would do"):
        read_job(path)
    path.write_text(text.replace(white, "") + white, encoding="utf-8")
    with pytest.raises(InputProblem, match="listed before them"):
        read_job(path)


@given(arrays(np.uint8, (9, 12)), st.floats(0, 3))
def test_a_choke_lies_within_and_shrinks(plane: NDArray[np.uint8], reach: float) -> None:
    once = choked(plane, reach)
    assert (once <= plane).all()
    assert (choked(plane, reach + 1) <= once).all()


def test_a_choke_of_one_pixel() -> None:
    plane = np.zeros((7, 7), np.uint8)
    plane[1:6, 1:6] = 200
    expected = np.zeros((7, 7), np.uint8)
    expected[2:5, 2:5] = 200
    np.testing.assert_array_equal(choked(plane, 1.0), expected)
