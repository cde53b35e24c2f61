"""Planes kept by tiles against the same planes kept whole."""

from __future__ import annotations

from itertools import pairwise

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from preflight.frames.tiled_plane import TILE, TiledCanvas, tiled


def _sparse(rows: int, columns: int, seed: int = 1) -> NDArray[np.uint8]:
    random = np.random.default_rng(seed)
    plane = np.zeros((rows, columns), np.uint8)
    for _ in range(3):
        row, column = random.integers(0, rows), random.integers(0, columns)
        part = plane[row:row + 9, column:column + 40]
        part[:] = random.integers(0, 256, part.shape)
    return plane


@pytest.mark.parametrize("shape", [(1, 1), (64, 64), (65, 63), (200, 700), (130, 129)])
def test_a_plane_comes_back_whole_and_in_any_part(shape: tuple[int, int]) -> None:
    plane = _sparse(*shape)
    held = tiled(plane)
    assert held.shape == shape
    assert np.array_equal(held.window(), plane)
    random = np.random.default_rng(2)
    for _ in range(20):
        rows, columns = (sorted(random.integers(0, side + 1, 2)) for side in shape)
        assert np.array_equal(held.window(*rows, *columns),
                              plane[rows[0]:rows[1], columns[0]:columns[1]])
    at, along = (random.integers(0, side, 50) for side in shape)
    assert np.array_equal(held.at(at, along), plane[at, along])
    assert np.array_equal(held.at(at[:, None], along), plane[np.ix_(at, along)])
    for found, axis in zip(held.means(), (1, 0), strict=True):
        assert np.allclose(found, plane.mean(axis=axis))


def test_columns_of_tiles_that_hold_something_are_told() -> None:
    plane = np.zeros((300, 200), np.uint8)
    plane[70, 130] = 1
    held = tiled(plane)
    for rows in ((0, 300), (70, 71), (100, 128)):
        assert np.flatnonzero(held.columns_held(*rows)).tolist() == list(range(128, 192))
    assert not held.columns_held(128, 300).any()
    assert len(held.columns_held(0, 10)) == 200


def test_only_tiles_that_hold_something_take_memory() -> None:
    plane = np.zeros((40 * TILE, 30 * TILE), np.uint8)
    plane[5 * TILE:5 * TILE + 3, 7 * TILE - 1:7 * TILE + 1] = 9
    held = tiled(plane)
    assert len(held.tiles) == 3  # the empty one and the two that the piece lies in
    assert [first for first, _ in held.bands()] == [5 * TILE]
    assert not held.is_empty
    assert tiled(plane * 0).is_empty


@settings(max_examples=40, deadline=None)
@given(cut=st.lists(st.integers(1, 299), max_size=4), seed=st.integers(0, 99))
def test_pieces_in_any_order_make_the_same_plane(cut: list[int], seed: int) -> None:
    plane = _sparse(150, 300, seed)
    canvas = TiledCanvas(*plane.shape)
    edges = sorted({0, 300, *cut})
    for first, end in reversed(list(pairwise(edges))):
        canvas.put(plane[:70, first:end], 0, first)
        canvas.put(plane[70:, first:end], 70, first)
    assert np.array_equal(canvas.plane().window(), plane)


@pytest.mark.parametrize(("fine", "coarse"), [((256, 512), (64, 128)), ((300, 700), (47, 113)),
                                              ((130, 200), (130, 200))])
def test_means_are_those_of_an_image_library(fine: tuple[int, int],
                                             coarse: tuple[int, int]) -> None:
    """OpenCV's area interpolation takes the same means, in whole numbers or float32."""
    plane = _sparse(*fine)
    wanted = cv2.resize(plane.astype(np.float32), coarse[::-1], interpolation=cv2.INTER_AREA)
    found = tiled(plane).averaged(*coarse)
    assert found.dtype == np.float32
    assert np.abs(found - wanted).max() < 0.02
    assert found.sum() / coarse[0] / coarse[1] == pytest.approx(plane.mean(), rel=1e-4)
