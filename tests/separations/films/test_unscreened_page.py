"""Parts of unscreened pages: tall line work, the clip, and the tints' colours."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from shapely.geometry import box

from preflight.frames.raster_grid import grid_over
from preflight.frames.tiled_plane import tiled
from separations.films import unscreened_page
from separations.films.deflate import code_block
from separations.films.document_facts import DocumentFacts
from separations.films.film_page import PlacedImage
from separations.films.film_sheet import FilmSheet, Reading
from separations.films.ink_spaces import Plates, device_n_space, plate_names, separation_space
from separations.films.read_back import FilmReadBackError
from separations.films.unscreened_page import (
    InkImage,
    UnscreenedPage,
    clip_to,
    edges_of,
    stencils,
    write_unscreened,
)

BuildSheet = Callable[..., FilmSheet]


def _mixed(tints: np.ndarray) -> np.ndarray:
    """An invented rule: each ink takes its own share of lightness and colour."""
    shares = np.array([[-40.0, 30.0, 5.0], [-20.0, -10.0, 60.0], [-10.0, 4.0, -30.0]])
    return np.asarray([75.0, 5.0, 20.0] + tints @ shares[:tints.shape[-1]])


def test_tall_line_work_is_stacked_from_stencils_that_overlap(
        small_sheet: BuildSheet, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(unscreened_page, "MOST_IMAGE_ROWS", 200)
    sheet = small_sheet()
    grid = grid_over((-60.0, -35.0, 60.0, 35.0), 0.25)
    cover = np.random.default_rng(3).integers(0, 256, (grid.rows, grid.columns), np.uint8)
    made = stencils("Lines", tiled(cover), grid, sheet)
    page_rows = grid.pixel_mm / sheet.page_grid.pixel_mm
    top = edges_of(grid, sheet)[1]
    seen = np.zeros(grid.rows, int)
    for image, edges in made.values():
        first = round((edges[1] - top) / page_rows)
        assert image.rows <= 200
        bits = np.unpackbits(image.samples(0, image.rows), axis=1)[:, :grid.columns]
        assert np.array_equal(bits, cover[first:first + image.rows] >= 128)
        seen[first:first + image.rows] += 1
    assert len(made) == 4
    assert seen.min() == 1
    assert np.count_nonzero(seen == 2) == 3 * unscreened_page._REPEATED_ROWS


@pytest.mark.parametrize("reading", ["right-reading", "mirrored"])
def test_the_clip_is_the_area_on_the_page(small_sheet: BuildSheet, reading: Reading) -> None:
    """+y of the board is to the left of the page, and to the right of a mirrored one."""
    sheet = small_sheet(reading=reading)
    words = clip_to(box(-60, 10, 60, 35), sheet).split()
    assert words[-3:] == ["h", "W*", "n"]
    across = [float(words[k - 2]) for k, word in enumerate(words) if word in ("m", "l")]
    middle = sheet.page_grid.columns * sheet.point_per_pixel / 2
    assert (max(across) < middle) == (reading == "right-reading")


def test_tints_show_in_the_colours_that_the_model_gives() -> None:
    plates = Plates(plate_names(["Rust", "all", "Night"]), _mixed)
    assert plates.names == ("Rust", "all ink", "Night")
    pdf = pikepdf.new()
    space = device_n_space(pdf, plates)
    steps = [int(n) for n in space[3].Size]
    samples = np.frombuffer(space[3].read_bytes(), ">u2").astype(float) / 65535
    table = samples.reshape(*steps, 3) * [100, 255, 255] - [0, 128, 128]
    # the first ink runs fastest, so it is the last axis
    for at in ((0, 0, 0), (steps[0] - 1, 0, 0), (3, 7, 11)):
        tints = np.array(at) / (steps[0] - 1)
        assert table[at[::-1]] == pytest.approx(_mixed(tints), abs=0.01)
    rust = separation_space(pdf, plates, 0)
    ramp = np.frombuffer(rust[3].read_bytes(), ">u2").reshape(-1, 3) / 65535
    assert ramp[-1] * [100, 255, 255] - [0, 128, 128] == pytest.approx(
        _mixed(np.array([1.0, 0, 0])), abs=0.01)


def test_other_samples_than_were_given_are_refused(
        tmp_path: Path, small_sheet: BuildSheet, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(unscreened_page, "code_block",
                        lambda rows: code_block(rows ^ np.uint8(1)))
    samples = np.zeros((4, 6), np.uint8)
    image = InkImage(rows=4, columns=6, space=None, samples=lambda a, b: samples[a:b])
    page = UnscreenedPage(label=(), facts=DocumentFacts("None", "2026-03-01"),
                          spaces=lambda _: {}, images={"Tones": image},
                          placed=(PlacedImage("Tones", (0, 0, 6, 4)),))
    with pytest.raises(FilmReadBackError, match="image Tones differs"):
        write_unscreened(tmp_path / "page.pdf", page, small_sheet())
