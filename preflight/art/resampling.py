"""Resampling kernels, compiled: separable along image axes, and a free warp.

The separable one makes one output row at a time: source rows are summed into a line of float32,
and that line is sampled along the row. Nothing larger than a line is ever held. Compiled code
here because 16-bit channels, sub-pixel boxes and mirror images in one pass are found together in
no library at hand. Import this module late: the compiler is slow to load.
"""

from __future__ import annotations

from typing import Any, Literal, NamedTuple

import numba
import numpy as np
from numpy.typing import NDArray

Filter = Literal["cubic", "linear"]
#: Columns of one channel looked at together: line work is mostly empty.
_STRETCH = 64
_RADIUS: dict[Filter, float] = {"cubic": 2.0, "linear": 1.0}


class Taps(NamedTuple):
    """For each output pixel along one axis, the first source pixel and the weights from there.

    ``first`` is int64, shape (n,); ``weights`` float32, shape (n, K), each row summing to 1.
    """

    first: NDArray[np.int64]
    weights: NDArray[np.float32]


def taps(centres: NDArray[np.float64], step: float, source_count: int, kind: Filter) -> Taps:
    """Weights of a filter that widens with the step, so that reducing does not alias.

    Parameters
    ----------
    centres : NDArray of float64, shape (n,)
        Where output pixel centres fall in source coordinates; source pixel k spans k to k + 1.
        May run backwards. Beyond the source, its edge is repeated.
    step : float
        Source pixels to one output pixel.
    source_count : int
        Source pixels along the axis.
    kind : Filter
        ``cubic``: Catmull-Rom, through the samples when enlarging; ``linear``: no overshoot.

    Notes
    -----
    Source: Keys 1981, "Cubic convolution interpolation" (a = −1/2).
    """
    widening = max(1.0, step)
    reach = _RADIUS[kind] * widening
    inside = np.clip(centres, 0.5, source_count - 0.5)
    count = min(source_count, int(np.ceil(2.0 * reach)) + 1)
    first = np.clip(np.ceil(inside - reach - 0.5).astype(np.int64), 0, source_count - count)
    away = np.abs(first[:, None] + np.arange(count) + 0.5 - inside[:, None]) / widening
    if kind == "linear":
        weights = np.maximum(1.0 - away, 0.0)
    else:
        near = (1.5 * away - 2.5) * away**2 + 1.0
        far = ((-0.5 * away + 2.5) * away - 4.0) * away + 2.0
        weights = np.where(away < 1.0, near, np.where(away < 2.0, far, 0.0))
    weights /= weights.sum(axis=1, keepdims=True)
    return Taps(first, weights.astype(np.float32))


def resample(source: NDArray[Any], down: Taps, across: Taps, out: NDArray[Any], top: float) -> None:
    """Fill ``out`` (m, n, C) from ``source`` (rows, columns, C).

    Parameters
    ----------
    source : NDArray of uint8, uint16 or float32, shape (rows, columns, C)
        Pixels; C is 1 to 4.
    down, across : Taps
        For the m output rows and the n output columns.
    out : NDArray of uint8, uint16 or float32, shape (m, n, C)
        Rounded to nearest and kept within 0 to ``top`` when ``top`` is above 0.
    top : float
        Greatest value, or 0 for no rounding and no limit.
    """
    low = int(across.first.min())
    high = int(across.first.max()) + across.weights.shape[1]
    _resample(source, down.first, down.weights, across.first - low, across.weights,
              (low, high), out, np.float32(top))


def warp(source: NDArray[Any], matrix: NDArray[np.float64], kind: Filter, out: NDArray[Any],
         top: float) -> None:
    """Fill ``out`` (m, n, C) by interpolation at any angle.

    Parameters
    ----------
    source : NDArray of uint8, uint16 or float32, shape (rows, columns, C)
        No finer than ``out``; its edge is repeated beyond it.
    matrix : NDArray of float64, shape (3, 3)
        From out's (column, row, 1) to the source's, in continuous coordinates.
    kind : Filter
        As for `taps`.
    out, top
        As for `resample`.
    """
    _warp(source, np.ascontiguousarray(matrix[:2]), kind == "cubic", out, np.float32(top))


def _compiled(function: Any) -> Any:
    return numba.njit(cache=True, nogil=True, fastmath={"contract", "nsz"})(function)


@_compiled
def _put(out: Any, row: int, column: int, channel: int, value: Any, top: Any) -> None:
    if top > 0.0:
        value = min(max(value + np.float32(0.5), np.float32(0.0)), top)
    out[row, column, channel] = value


@_compiled
def _sum_rows(source: Any, first: int, weights: Any, span: tuple[int, int], line: Any) -> None:
    """Fill a line with a span of weighed source rows, all channels one after the other."""
    line[:] = 0.0
    for tap in range(weights.size):
        weight = weights[tap]
        if weight != 0.0:
            part = source[first + tap, span[0]:span[1]].reshape(-1)
            for i in range(line.size):
                line[i] += weight * np.float32(part[i])


@_compiled
def _along_grey(line: Any, first: Any, weights: Any, out: Any, row: int, top: Any) -> None:
    """Fill a row of one channel; where the line holds nothing but 0, so does the row."""
    taps = weights.shape[1]
    for begin in range(0, out.shape[1], _STRETCH):
        end = min(begin + _STRETCH, out.shape[1])
        low = min(first[begin], first[end - 1])
        high = max(first[begin], first[end - 1]) + taps
        held = False
        for i in range(low, high):
            held |= line[i] != 0.0
        if not held:
            out[row, begin:end, 0] = 0
            continue
        for column in range(begin, end):
            total = np.float32(0.0)
            for tap in range(taps):
                total += weights[column, tap] * line[first[column] + tap]
            _put(out, row, column, 0, total, top)


@_compiled
def _resample(source: Any, row_first: Any, row_weights: Any, first: Any, weights: Any,
              span: tuple[int, int], out: Any, top: Any) -> None:
    low, high = span
    channels = source.shape[2]
    line = np.empty((high - low) * channels, np.float32)
    for row in range(out.shape[0]):
        _sum_rows(source, row_first[row], row_weights[row], span, line)
        if channels == 1:
            _along_grey(line, first, weights, out, row, top)
            continue
        for column in range(out.shape[1]):
            at = first[column] * channels
            if channels == 3:
                red = green = blue = np.float32(0.0)
                for tap in range(weights.shape[1]):
                    weight = weights[column, tap]
                    red += weight * line[at + 3 * tap]
                    green += weight * line[at + 3 * tap + 1]
                    blue += weight * line[at + 3 * tap + 2]
                _put(out, row, column, 0, red, top)
                _put(out, row, column, 1, green, top)
                _put(out, row, column, 2, blue, top)
            else:
                for channel in range(channels):
                    total = np.float32(0.0)
                    for tap in range(weights.shape[1]):
                        total += weights[column, tap] * line[at + tap * channels + channel]
                    _put(out, row, column, channel, total, top)


@_compiled
def _weigh(t: Any, cubic: bool, weights: Any) -> None:
    if not cubic:
        weights[0], weights[1], weights[2], weights[3] = 0.0, 1.0 - t, t, 0.0
        return
    weights[0] = ((-0.5 * t + 1.0) * t - 0.5) * t
    weights[1] = (1.5 * t - 2.5) * t * t + 1.0
    weights[2] = ((-1.5 * t + 2.0) * t + 0.5) * t
    weights[3] = (0.5 * t - 0.5) * t * t


@_compiled
def _warp(source: Any, matrix: Any, cubic: bool, out: Any, top: Any) -> None:
    rows, columns, channels = source.shape
    down = np.empty(4, np.float32)
    across = np.empty(4, np.float32)
    for row in range(out.shape[0]):
        for column in range(out.shape[1]):
            u = matrix[0, 0] * (column + 0.5) + matrix[0, 1] * (row + 0.5) + matrix[0, 2]
            v = matrix[1, 0] * (column + 0.5) + matrix[1, 1] * (row + 0.5) + matrix[1, 2]
            u = min(max(u, 0.5), columns - 0.5) - 0.5
            v = min(max(v, 0.5), rows - 0.5) - 0.5
            left, upper = int(np.floor(u)), int(np.floor(v))
            _weigh(np.float32(u - left), cubic, across)
            _weigh(np.float32(v - upper), cubic, down)
            for channel in range(channels):
                total = np.float32(0.0)
                for j in range(4):
                    at_row = min(max(upper + j - 1, 0), rows - 1)
                    part = np.float32(0.0)
                    for i in range(4):
                        at_column = min(max(left + i - 1, 0), columns - 1)
                        part += across[i] * np.float32(source[at_row, at_column, channel])
                    total += down[j] * part
                _put(out, row, column, channel, total, top)
