"""Resampling weights and kernels."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from preflight.art.resampling import Filter, resample, taps, warp


@settings(max_examples=80, deadline=None)
@given(count=st.integers(1, 40), step=st.floats(0.05, 30), start=st.floats(-50, 50),
       kind=st.sampled_from(["cubic", "linear"]))
def test_weights_sum_to_one_and_stay_inside(count: int, step: float, start: float,
                                            kind: Filter) -> None:
    first, weights = taps(start + step * np.arange(25.0), step, count, kind)
    assert weights.sum(axis=1) == pytest.approx(1.0, abs=1e-5)
    assert first.min() >= 0
    assert (first + weights.shape[1]).max() <= count


def test_weights_at_source_centres_are_the_source() -> None:
    first, weights = taps(np.linspace(0.5, 8.5, 9), 1.0, 9, "cubic")
    at_centre = np.zeros((9, 9), dtype=np.float32)
    for row in range(9):
        at_centre[row, first[row]:first[row] + weights.shape[1]] = weights[row]
    assert np.array_equal(at_centre, np.eye(9, dtype=np.float32))


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16, np.float32])
@pytest.mark.parametrize("channels", [1, 2, 3, 4])
def test_separable_kernel_is_the_matrix_product(dtype: Any, channels: int) -> None:
    random = np.random.default_rng(channels)
    source = random.integers(0, 256, (23, 31, channels)).astype(dtype)
    down = taps(np.linspace(1, 22, 9), 2.6, 23, "cubic")
    across = taps(np.linspace(30, 1, 40), 0.75, 31, "cubic")
    out = np.empty((9, 40, channels), dtype=dtype)
    top = 0.0 if dtype == np.float32 else 255.0
    resample(source, down, across, out, top)
    rows = np.zeros((9, 23))
    columns = np.zeros((40, 31))
    for matrix, (first, weights) in ((rows, down), (columns, across)):
        for i in range(len(matrix)):
            matrix[i, first[i]:first[i] + weights.shape[1]] = weights[i]
    wanted = np.einsum("ir,rcx,jc->ijx", rows, source.astype(float), columns)
    if top:
        assert np.abs(out - np.clip(wanted, 0, 255)).max() <= 0.501
    else:
        assert out == pytest.approx(wanted, abs=1e-2)


def test_warp_by_whole_pixels_copies() -> None:
    source = np.random.default_rng(1).integers(0, 65536, (12, 15, 3), dtype=np.uint16)
    out = np.empty((5, 6, 3), dtype=np.uint16)
    warp(source, np.array([[1.0, 0, 4], [0, 1, 3], [0, 0, 1]]), "cubic", out, 65535.0)
    assert np.array_equal(out, source[3:8, 4:10])


@pytest.mark.parametrize("kind", ["cubic", "linear"])
def test_warp_follows_a_slope_at_any_angle(kind: Filter) -> None:
    v, u = np.mgrid[0:60, 0:80] + 0.5
    source = (3 * u + 5 * v).astype(np.float32)[:, :, None]
    matrix = np.array([[0.8, 0.55, 10.0], [-0.55, 0.8, 24.0], [0, 0, 1.0]])
    out = np.empty((20, 25, 1), dtype=np.float32)
    warp(source, matrix, kind, out, 0.0)
    row, column = np.mgrid[0:20, 0:25] + 0.5
    at_u, at_v, _ = np.tensordot(matrix, np.stack([column, row, np.ones_like(row)]), axes=1)
    assert out[:, :, 0] == pytest.approx(3 * at_u + 5 * at_v, abs=2e-3)


@pytest.mark.parametrize("backwards", [False, True])
@pytest.mark.parametrize("step", [0.6, 1.9, 7.3])
def test_lines_far_apart_come_out_as_the_matrix_product(step: float, backwards: bool) -> None:
    random = np.random.default_rng(3)
    source = np.zeros((40, 1500, 1), np.float32)
    at = random.integers(0, 1500, 12)
    source[random.integers(0, 40, 12), at] = 255.0  # single pixels with hundreds of 0 between
    centres = np.arange(0.5, 1500.0, step)
    down = taps(np.linspace(1, 39, 30), 1.3, 40, "linear")
    across = taps(centres[::-1] if backwards else centres, step, 1500, "linear")
    out = np.full((30, len(centres), 1), 9, np.uint8)
    resample(source, down, across, out, 255.0)
    full = [np.zeros((len(each.first), size)) for each, size in ((down, 40), (across, 1500))]
    for matrix, each in zip(full, (down, across), strict=True):
        for row, (first, weights) in enumerate(zip(each.first, each.weights, strict=True)):
            matrix[row, first:first + len(weights)] = weights
    wanted = full[0] @ source[:, :, 0] @ full[1].T
    assert np.abs(out[:, :, 0] - wanted).max() <= 0.51
    assert wanted.max() > 1
    assert np.count_nonzero(out) < 0.2 * out.size
