"""Artwork on a grid: exact turns, sub-pixel register, alpha, depth, line work."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from scipy.special import ndtr

from preflight.art.art_plane import ArtPlane, line_plane, photo_plane
from preflight.art.artwork import Artwork, open_artwork
from preflight.art.artwork_pixels import ArtPixels, load_pixels
from preflight.art.placement import Flip, PlacedArt, Placement, place
from preflight.board.area_mask import coverage_mask
from preflight.frames.raster_grid import RasterGrid, grid_over
from tests.plain_geometry import art_of

RANDOM = np.random.default_rng(11)


def saved(folder: Path, pixels: NDArray[Any], name: str = "art.png") -> Path:
    path = folder / name
    if pixels.dtype == np.uint16 and pixels.ndim == 3:
        order = [2, 1, 0, 3][:pixels.shape[2]]
        cv2.imwrite(str(path), np.ascontiguousarray(pixels[:, :, order]))
    else:
        Image.fromarray(pixels).save(path)
    return path


def plane(path: Path, placement: Placement, grid: RasterGrid) -> tuple[ArtPlane, PlacedArt]:
    art = open_artwork(path)
    placed = place(art.width_px, art.height_px, (-10.0, -10.0, 10.0, 10.0), placement)
    return photo_plane(art, placed, grid), placed


TURNS: dict[float, Callable[[Any], Any]] = {
    0.0: lambda a: a, 90.0: lambda a: np.rot90(a, 1), 180.0: lambda a: np.rot90(a, 2),
    270.0: lambda a: np.rot90(a, 3)}
FLIPS: dict[Flip, Callable[[Any], Any]] = {
    "none": lambda a: a, "across": np.fliplr, "along": np.flipud}


@pytest.mark.parametrize("turn", TURNS)
@pytest.mark.parametrize("flip", FLIPS)
@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
def test_quarter_turns_at_one_to_one_move_pixels_untouched(
        tmp_path: Path, turn: float, flip: Flip, dtype: Any) -> None:
    art = RANDOM.integers(0, np.iinfo(dtype).max + 1, (33, 48, 3), dtype=dtype)
    wanted = FLIPS[flip](TURNS[turn](art))
    half_x, half_y = wanted.shape[0] * 0.05, wanted.shape[1] * 0.05
    grid = grid_over((-half_x, -half_y, half_x, half_y), 0.1)
    made, _ = plane(saved(tmp_path, art), Placement(
        how="scale", ppi=254.0, turn_deg=turn, flip=flip), grid)
    assert made.rgb.dtype == dtype
    assert np.array_equal(made.rgb, wanted)
    assert (made.cover == 255).all()


@pytest.mark.parametrize("art_px_per_pixel", [0.31, 1.0, 1.37, 4.6])
@pytest.mark.parametrize("turn", [0.0, 90.0, 180.0, 270.0, 31.0, 200.5])
def test_an_edge_lands_within_a_fiftieth_of_a_pixel(
        tmp_path: Path, art_px_per_pixel: float, turn: float) -> None:
    soft_px = 3.0 * max(1.0, art_px_per_pixel)

    def edge(u: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(ndtr((u - 137.3) / soft_px), dtype=np.float64)

    art = np.tile(np.round(edge(np.linspace(0.5, 299.5, 300)) * 60000).astype(np.uint16), (200, 1))
    grid = RasterGrid(top_x_mm=6.0, left_y_mm=5.3, pixel_mm=0.1 * art_px_per_pixel,
                      rows=int(120 / art_px_per_pixel), columns=int(106 / art_px_per_pixel))
    made, placed = plane(saved(tmp_path, art), Placement(
        how="scale", ppi=254.0, turn_deg=turn, offset_x_mm=0.0371, offset_y_mm=-0.0223), grid)
    x, y = np.meshgrid(grid.row_centres_x_mm(), grid.column_centres_y_mm(), indexing="ij")
    u, v = np.moveaxis(art_of(placed, np.stack([x, y], axis=-1)), -1, 0)
    near = (np.abs(u - 137.3) < 6 * soft_px) & (np.abs(v - 100) < 75)
    steepness = np.exp(-0.5 * ((u - 137.3) / soft_px) ** 2) / (soft_px * np.sqrt(2 * np.pi))
    assert near.sum() > 100
    # Brightness gained over the true edge, over its slope, is how far the edge has moved.
    moved_px = (made.rgb[:, :, 0] / 60000 - edge(u))[near].sum() / steepness[near].sum()
    assert abs(moved_px) < 0.02
    assert np.abs(made.rgb[:, :, 0] / 60000 - edge(u))[near].max() < 0.03


@pytest.mark.parametrize("turn", [0.0, 90.0, 180.0, 270.0, 12.0, 95.5, 263.0])
@pytest.mark.parametrize("art_px_per_pixel", [0.4, 1.0, 1.9, 5.3])
def test_a_gradient_is_read_at_the_right_place(tmp_path: Path, turn: float,
                                               art_px_per_pixel: float) -> None:
    v, u = np.mgrid[0:200, 0:300] + 0.5
    art = np.round(np.stack([u * 200, v * 300, (u + v) * 100], axis=-1)).astype(np.uint16)
    grid = RasterGrid(top_x_mm=5.1, left_y_mm=4.9, pixel_mm=0.1 * art_px_per_pixel,
                      rows=int(100 / art_px_per_pixel), columns=int(95 / art_px_per_pixel))
    made, placed = plane(saved(tmp_path, art), Placement(
        how="scale", ppi=254.0, turn_deg=turn, offset_x_mm=0.0371, offset_y_mm=-0.0223), grid)
    x, y = np.meshgrid(grid.row_centres_x_mm(), grid.column_centres_y_mm(), indexing="ij")
    u, v = np.moveaxis(art_of(placed, np.stack([x, y], axis=-1)), -1, 0)
    deep = (np.minimum(u, 300 - u) > 25) & (np.minimum(v, 200 - v) > 25)
    assert deep.mean() > 0.5
    assert np.abs(made.rgb[:, :, 0][deep] / 200 - u[deep]).max() < 0.02
    assert np.abs(made.rgb[:, :, 1][deep] / 300 - v[deep]).max() < 0.02


@pytest.mark.parametrize("turn", [0.0, 90.0, 33.0])
def test_reducing_does_not_alias(tmp_path: Path, turn: float) -> None:
    art = np.indices((400, 400)).sum(axis=0) % 2 * np.uint8(255)
    made, _ = plane(saved(tmp_path, art.astype(np.uint8)), Placement(
        how="scale", art_width_mm=20.0, turn_deg=turn), grid_over((-4, -4, 4, 4), 0.173))
    assert np.abs(made.rgb.astype(int) - 127.5).max() < 4


def test_cover_is_the_share_of_the_pixel_that_art_covers(tmp_path: Path) -> None:
    art = np.full((50, 80, 3), 90, dtype=np.uint8)
    grid = grid_over((-10, -10, 10, 10), 0.33)
    for turn in (0.0, 90.0, 27.0):
        made, placed = plane(saved(tmp_path, art), Placement(
            how="scale", art_width_mm=11.0, turn_deg=turn), grid)
        wanted = coverage_mask(placed.polygon, grid) / 257
        assert np.abs(made.cover - wanted).max() <= 0.51
        assert (made.rgb[made.cover == 0] == 255).all()
        assert np.abs(made.rgb[made.cover > 0].astype(int) - 90).max() <= 1


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
@pytest.mark.parametrize("turn", [0.0, 90.0, 40.0])
def test_hidden_colour_does_not_bleed(tmp_path: Path, dtype: Any, turn: float) -> None:
    top = np.iinfo(dtype).max
    art = np.zeros((100, 100, 4), dtype=dtype)
    art[:, :, 0] = top  # hidden red
    art[30:70, 30:70] = (0, top // 2, 0, top)  # a green square
    made, _ = plane(saved(tmp_path, art), Placement(
        how="scale", art_width_mm=20.0, turn_deg=turn), grid_over((-10, -10, 10, 10), 0.37))
    shown = made.cover > 12
    assert made.rgb.dtype == dtype
    assert made.rgb[:, :, 0][shown].max() <= 0.02 * top
    assert made.rgb[:, :, 1][shown] == pytest.approx(top // 2, abs=0.02 * top)
    area_mm2 = made.cover.sum() / 255 * 0.37**2
    assert area_mm2 == pytest.approx(64.0, rel=0.01)


def test_grey_art_has_three_equal_channels(tmp_path: Path) -> None:
    art = RANDOM.integers(0, 65536, (40, 40), dtype=np.uint16)
    made, _ = plane(saved(tmp_path, art), Placement(how="scale", ppi=254.0),
                    grid_over((-2, -2, 2, 2), 0.1))
    assert made.rgb.dtype == np.uint16
    assert np.array_equal(made.rgb, np.repeat(art[:, :, None], 3, axis=2))


@pytest.mark.parametrize("turn", [0.0, 90.0, 21.0])
def test_a_band_of_the_grid_gives_the_same_rows(tmp_path: Path, turn: float) -> None:
    art = open_artwork(saved(tmp_path, RANDOM.integers(0, 256, (150, 260, 3), dtype=np.uint8)))
    placed = place(260, 150, (-10, -10, 10, 10), Placement(turn_deg=turn))
    grid = grid_over((-9, -9, 9, 9), 0.117)
    whole = photo_plane(art, placed, grid)
    part = photo_plane(art, placed, grid.band(40, 97))
    assert np.abs(part.rgb.astype(int) - whole.rgb[40:97]).max() <= 1
    assert np.abs(part.cover.astype(int) - whole.cover[40:97]).max() <= 1


def test_art_off_the_grid_leaves_it_blank(tmp_path: Path) -> None:
    art = open_artwork(saved(tmp_path, np.zeros((20, 20, 3), dtype=np.uint8)))
    placed = place(20, 20, (100, 100, 120, 120), Placement())
    made = photo_plane(art, placed, grid_over((-5, -5, 5, 5), 0.5))
    assert made.cover.max() == 0
    assert made.rgb.min() == 255
    assert line_plane(art, placed, grid_over((-5, -5, 5, 5), 0.5)).is_empty


def test_turned_camera_picture_lies_like_its_upright_twin(tmp_path: Path) -> None:
    smooth = cv2.GaussianBlur(RANDOM.integers(0, 256, (60, 90, 3), dtype=np.uint8), (0, 0), 3)
    upright = saved(tmp_path, smooth, "upright.png")
    exif = Image.Exif()
    exif[0x0112] = 6
    Image.fromarray(np.ascontiguousarray(np.rot90(smooth))).save(tmp_path / "t.png", exif=exif)
    grid = grid_over((-10, -10, 10, 10), 0.21)
    for turn in (0.0, 90.0, 15.0):
        one, _ = plane(upright, Placement(turn_deg=turn), grid)
        two, _ = plane(tmp_path / "t.png", Placement(turn_deg=turn), grid)
        assert np.abs(one.rgb.astype(int) - two.rgb).max() <= 1


def test_jpeg_decoded_smaller_stays_in_register(tmp_path: Path) -> None:
    def whole(artwork: Artwork, *, shrink: float = 1.0) -> ArtPixels:
        assert shrink > 9
        return load_pixels(artwork)

    v, u = np.mgrid[0:640, 0:960]
    smooth = (127 + 100 * np.sin(u / 71) * np.cos(v / 53)).astype(np.uint8)
    Image.fromarray(smooth).save(tmp_path / "a.jpg", quality=98)
    art = open_artwork(tmp_path / "a.jpg")
    placed = place(960, 640, (-10, -10, 10, 10), Placement(turn_deg=90.0))
    grid = grid_over((-10, -10, 10, 10), placed.mm_per_px * 9.1)
    full = photo_plane(art, placed, grid, load=whole)
    assert load_pixels(art, shrink=9.1).reduction == 4
    assert np.abs(full.rgb.astype(int) - photo_plane(art, placed, grid).rgb).max() <= 3


@pytest.mark.parametrize("turn", [0.0, 90.0, 28.0])
@pytest.mark.parametrize("pixel_mm", [0.05, 0.3])
@pytest.mark.parametrize("kind", ["dark on light", "alpha", "opaque alpha"])
def test_line_work_keeps_its_area(tmp_path: Path, turn: float, pixel_mm: float,
                                  kind: str) -> None:
    drawn = np.zeros((200, 200), dtype=np.uint8)
    drawn[40:160, 97:103] = 255
    drawn[20:26, 30:170] = 255
    if kind == "alpha":  # white lines count by their opacity
        picture = np.dstack([np.full((200, 200, 3), 255, np.uint8), drawn])
    elif kind == "opaque alpha":
        picture = np.dstack([255 - drawn] * 3 + [np.full_like(drawn, 255)])
    else:
        picture = 255 - drawn
    art = open_artwork(saved(tmp_path, picture))
    placed = place(200, 200, (-10, -10, 10, 10), Placement(turn_deg=turn, how="fit"))
    ink = line_plane(art, placed, grid_over((-10, -10, 10, 10), pixel_mm)).window()
    wanted_mm2 = (drawn > 0).sum() * placed.mm_per_px**2
    assert ink.dtype == np.uint8
    assert ink.sum() / 255 * pixel_mm**2 == pytest.approx(wanted_mm2, rel=0.01)
    assert ink.max() > (250 if pixel_mm == 0.05 else 200)
