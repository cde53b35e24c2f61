"""A crop: what is left of a picture is as if the file had held nothing else."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from preflight.art.art_plane import photo_plane
from preflight.art.artwork import Artwork, cropped_artwork, open_artwork
from preflight.art.artwork_pixels import load_pixels
from preflight.art.placement import Placement, place
from preflight.frames.raster_grid import grid_over
from preflight.input_problem import InputProblem

UPRIGHT = np.random.default_rng(7).integers(0, 256, (60, 100, 3), np.uint8)
KEPT = (13, 7, 90, 52)
UNDO: dict[int, Callable[[Any], Any]] = {
    1: lambda a: a, 2: np.fliplr, 3: lambda a: a[::-1, ::-1], 4: np.flipud,
    5: lambda a: a.transpose(1, 0, 2), 6: np.rot90, 7: lambda a: a.transpose(1, 0, 2)[::-1, ::-1],
    8: lambda a: np.rot90(a, 3)}


def _saved(path: Path, upright: NDArray[np.uint8], orientation: int = 1, **how: Any) -> Artwork:
    exif = Image.Exif()
    exif[0x0112] = orientation
    Image.fromarray(np.ascontiguousarray(UNDO[orientation](upright))).save(path, exif=exif, **how)
    return open_artwork(path)


def _on_board(artwork: Artwork, turn: float = 90.0, *, ppi: float = 25.4,
              fill_mm: float = 0.0) -> NDArray[Any]:
    """The picture on a grid a little larger than itself, pixel for pixel at 25.4 ppi."""
    bounds = (-50.0, -50.0, 50.0, 50.0)
    placed = place(artwork.width_px, artwork.height_px, bounds,
                   Placement(how="scale", ppi=25.4, turn_deg=turn))
    return photo_plane(artwork, placed, grid_over(bounds, 25.4 / ppi), fill_mm=fill_mm).rgb


@pytest.mark.parametrize("turn", [0.0, 90.0, 200.0])
@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_crop_is_the_picture_saved_cropped(
        tmp_path: Path, orientation: int, turn: float) -> None:
    left, top, right, bottom = KEPT
    whole = _saved(tmp_path / "whole.png", UPRIGHT, orientation)
    saved = _saved(tmp_path / "cropped.png", UPRIGHT[top:bottom, left:right])
    cropped = cropped_artwork(whole, KEPT, "art[1].crop")
    assert (cropped.width_px, cropped.height_px) == (saved.width_px, saved.height_px)
    assert cropped.whole == whole
    assert np.abs(_on_board(cropped, turn).astype(int) - _on_board(saved, turn)).max() <= 1


@pytest.mark.parametrize("turn", [90.0, 33.0])
def test_what_is_cut_off_never_shows_beyond_the_edge(tmp_path: Path, turn: float) -> None:
    """Edge pixels are repeated, not what lay beside them in the file."""
    picture = np.full((60, 100, 3), (255, 0, 0), np.uint8)
    picture[10:50, 20:80] = (0, 0, 255)
    whole = _saved(tmp_path / "framed.png", picture)
    shown = _on_board(cropped_artwork(whole, (20, 10, 80, 50), "art[1].crop"), turn, fill_mm=10.0)
    inked = shown[(shown != 255).any(axis=-1)]
    assert len(inked) > 60 * 40
    assert inked[:, 0].max() == 0


@pytest.mark.parametrize("deep", [False, True])
def test_other_kinds_of_pixels_are_cut_alike(tmp_path: Path, deep: bool) -> None:
    import cv2

    left, top, right, bottom = KEPT
    picture = UPRIGHT.astype(np.uint16) * 257 if deep else UPRIGHT[:, :, 0]
    path = tmp_path / "a.png"
    assert cv2.imwrite(str(path), picture[:, :, ::-1] if deep else picture)
    found = load_pixels(cropped_artwork(open_artwork(path), KEPT, "art[1].crop"))
    pixels = found.band(0, found.rows)
    assert np.array_equal(pixels.squeeze(), picture[top:bottom, left:right])


def test_a_jpeg_decoded_smaller_is_cut_at_the_same_place(tmp_path: Path) -> None:
    smooth = np.asarray(Image.fromarray(UPRIGHT).resize((1600, 960), Image.Resampling.BICUBIC))
    whole = _saved(tmp_path / "a.jpg", smooth, 6, quality=95)
    kept = (203, 101, 1503, 901)
    cropped = cropped_artwork(whole, kept, "art[1].crop")
    saved = _saved(tmp_path / "b.png", np.asarray(
        Image.open(tmp_path / "a.jpg").transpose(Image.Transpose.ROTATE_270).crop(kept)))
    small, wanted = (_small(one) for one in (cropped, saved))
    assert load_pixels(cropped, shrink=13.0).reduction > 1
    assert np.abs(small.astype(int) - wanted)[2:-2, 2:-2].mean() < 3


def _small(artwork: Artwork) -> NDArray[Any]:
    bounds = (-40.0, -65.0, 40.0, 65.0)
    placed = place(artwork.width_px, artwork.height_px, bounds,
                   Placement(how="fit", turn_deg=0.0))
    return photo_plane(artwork, placed, grid_over(bounds, 1.3)).rgb


def test_a_crop_must_leave_something(tmp_path: Path) -> None:
    whole = _saved(tmp_path / "a.png", UPRIGHT)
    with pytest.raises(InputProblem) as told:
        cropped_artwork(whole, (60, 0, 40, 60), "job.toml: art[1].crop")
    assert str(told.value) == (
        "job.toml: art[1].crop: found a crop that leaves 0 × 60 of 100 × 60 pixels; "
        "one that leaves 8 pixels a side or more would do.")
