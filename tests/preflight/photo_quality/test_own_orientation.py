"""A photograph is worth the same however its file is turned, and in all eight orientations."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
import skimage
from numpy.typing import NDArray
from shapely.geometry import box

from preflight.art.artwork import open_artwork
from preflight.art.placement import Flip, Placement, place
from preflight.photo_quality.own_orientation import own_orientation
from preflight.photo_quality.photo_facts import PhotoFacts
from preflight.photo_quality.photo_measuring import measure_photo

Turned = tuple[int, bool]
EIGHT: list[Turned] = [(quarters, flipped) for flipped in (False, True) for quarters in range(4)]
BOARD = (-150.0, -45.0, 150.0, 45.0)


def turned(picture: NDArray[Any], how: Turned) -> NDArray[Any]:
    quarters, flipped = how
    return np.rot90(picture[:, ::-1] if flipped else picture, quarters)


@pytest.mark.parametrize("shape", [(60, 91), (91, 60), (64, 64)])
def test_all_eight_become_one(shape: tuple[int, int]) -> None:
    picture = np.random.default_rng(4).integers(0, 256, shape, dtype=np.uint8)
    first = own_orientation(picture)
    for how in EIGHT:
        again = own_orientation(turned(picture, how))
        np.testing.assert_array_equal(again.grey, first.grey)


@pytest.mark.parametrize("how", EIGHT)
def test_the_way_back_leads_to_the_same_pixel(how: Turned) -> None:
    given = turned(np.random.default_rng(5).integers(0, 256, (50, 70), dtype=np.uint8), how)
    found = own_orientation(given)
    rows, columns = np.mgrid[:found.grey.shape[0], :found.grey.shape[1]]
    x, y, _ = found.to_given @ np.stack([columns.ravel() + 0.5, rows.ravel() + 0.5,
                                         np.ones(columns.size)])
    back = given[np.floor(y).astype(int), np.floor(x).astype(int)]
    np.testing.assert_array_equal(back, found.grey.ravel())


def photograph(name: str) -> NDArray[np.uint8]:
    """One of scikit-image's, cut to a strip and enlarged as a screenshot would be."""
    picture = cv2.imread(str(Path(skimage.__file__).parent / "data" / name))
    assert picture is not None
    strip = picture[60:60 + 110, 20:20 + 360]
    return np.asarray(cv2.resize(strip, None, fx=2.5, fy=2.5, interpolation=cv2.INTER_CUBIC),
                      np.uint8)


def measured(path: Path, how: Turned) -> PhotoFacts:
    """The file, turned and mirrored back by its placement, so that it prints alike."""
    quarters, flipped = how
    flip: Flip = "along" if flipped else "none"
    art = open_artwork(path)
    placed = place(art.width_px, art.height_px, BOARD, Placement(
        how="fill", turn_deg=90.0 - 90.0 * quarters, flip=flip))
    return measure_photo(art, placed, box(*BOARD), file=path.name, ruling_lpcm=18.0)


@pytest.mark.parametrize("name", ["chelsea.png", "rocket.jpg"])
def test_a_turned_file_is_worth_as_much(tmp_path: Path, name: str) -> None:
    picture, found = photograph(name), []
    for number, how in enumerate(EIGHT):
        path = tmp_path / f"{number}.png"
        cv2.imwrite(str(path), np.ascontiguousarray(turned(picture, how)))
        found.append(measured(path, how))
    first = found[0]
    assert first.true_ppi is not None
    for other in found[1:]:
        assert other.ppi == pytest.approx(first.ppi)
        assert (other.true_fraction, other.enlarged_by) == (first.true_fraction,
                                                            first.enlarged_by)


def test_transparent_parts_are_not_burnt_out(tmp_path: Path) -> None:
    picture = np.full((200, 600, 4), 128, np.uint8)
    picture[:, :, 3] = 255
    picture[:, 300:, 3] = 0        # half of it shows nothing
    picture[:100, :150, :3] = 255  # a quarter of what shows is white
    cv2.imwrite(str(tmp_path / "half.png"), picture)
    facts = measured(tmp_path / "half.png", (0, False))
    assert facts.blown == pytest.approx(0.25, abs=0.02)
    assert facts.blocked == 0.0
