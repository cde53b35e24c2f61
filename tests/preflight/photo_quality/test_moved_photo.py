"""A photograph that is only moved: its pixels are measured once, and the facts stay as if anew."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from shapely.geometry import box

from preflight.art.artwork import open_artwork
from preflight.art.placement import Placement, place
from preflight.photo_quality.photo_facts import PhotoFacts
from preflight.photo_quality.photo_measuring import measure_photo
from tests.preflight.photo_quality.test_own_orientation import photograph

BOARD = (-150.0, -45.0, 150.0, 45.0)
PRINTED = box(-120.0, -40.0, 120.0, 40.0)


class Kept:
    """What was measured, by name and values; and what was made at the last asking."""

    def __init__(self) -> None:
        self.found: dict[tuple[str, str], Any] = {}
        self.made: list[str] = []

    def __call__(self, name: str, values: tuple[object, ...], make: Callable[[], Any]) -> Any:
        key = name, repr(values)
        if key not in self.found:
            self.found[key] = make()
            self.made.append(name)
        return self.found[key]


def test_facts_of_a_moved_photo_are_those_of_a_fresh_look(tmp_path: Path) -> None:
    path = tmp_path / "photo.png"
    cv2.imwrite(str(path), photograph("chelsea.png"))
    art, kept = open_artwork(path), Kept()

    def facts(along_mm: float, keep: Kept | None) -> PhotoFacts:
        placed = place(art.width_px, art.height_px, BOARD, Placement(
            how="fill", turn_deg=90.0, offset_x_mm=along_mm))
        return measure_photo(art, placed, PRINTED, file=path.name, ruling_lpcm=18.0, keep=keep)

    facts(0.0, kept)
    first = set(kept.made)
    for along_mm in (0.5, 40.0, -75.0):
        kept.made.clear()
        moved, fresh = facts(along_mm, kept), facts(along_mm, None)
        for field in fields(PhotoFacts):
            np.testing.assert_equal(getattr(moved, field.name), getattr(fresh, field.name))
        # What the place decides is measured anew at most, and only where other tiles are printed.
        assert set(kept.made) <= {"true_resolution", "clipping", "filtered_texture"}
    assert {"tile_detail", "jpeg_blocking", "banding", "cell_noise"} <= first


@pytest.mark.parametrize("shape", [(60, 91), (91, 60)])
def test_the_own_orientation_copies_nothing(shape: tuple[int, int]) -> None:
    from preflight.photo_quality.own_orientation import own_orientation

    picture = np.random.default_rng(4).integers(0, 256, shape, dtype=np.uint8)
    assert np.shares_memory(own_orientation(picture).grey, picture)
