"""Compiled drawing of a proof: tones to colours on the wood's figure, board and shadow, to sRGB."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from separations.colour.display import Coding
from separations.colour.image_kernels import (
    BLOCK,
    BlockScratch,
    SingleSums,
    predict_block,
)
from separations.runtime.compiled_code import compiled_on_borrowed_arrays, inner_kernel

Float32Array = NDArray[np.float32]


@compiled_on_borrowed_arrays
def add_fibres(columns: Float32Array, along: Float32Array, ends: NDArray[np.int64],
               shifts: Float32Array, height: np.float32, figure: Float32Array) -> None:
    """Add one wave's fibres to the figure, strip by strip.

    Parameters
    ----------
    columns : ndarray of float32, shape (tile rows + 1, picture columns)
        The wave's tile at the picture's columns; the last row is the first one again.
    along : ndarray of float32, shape (picture rows,)
        Tile rows from the board's middle to each row of the picture.
    ends : ndarray of int64, shape (strips + 1,)
        Where the strips' columns begin, and where the last of them ends.
    shifts : ndarray of float32, shape (strips,)
        Tile rows by which the fibres of each strip are shifted.
    height : float32
        Of the wave.
    figure : ndarray of float32, shape (picture rows, picture columns)
        Added to.
    """
    tile = np.float32(columns.shape[0] - 1)
    for row in range(len(along)):
        for strip in range(len(shifts)):
            place = along[row] + shifts[strip]
            place -= tile * np.floor(place / tile)
            above = np.int64(place)
            below = min(above + 1, columns.shape[0] - 1)
            share = np.float64(place - np.float32(above))
            for column in range(ends[strip], ends[strip + 1]):
                low = columns[above, column]
                rise = columns[below, column] - low
                figure[row, column] += np.float32(rise * share + low) * height


class InkSums(NamedTuple):
    """The inks' sums on the wood, and by estimates alone on it and on lighter wood.

    ``estimated`` says that ``estimate`` differs from ``wood``, ``one_curve`` that all three have
    the same tone curves, alike in all channels.
    """

    wood: SingleSums
    estimate: SingleSums
    lighter_wood: SingleSums
    estimated: bool
    one_curve: bool


class Surroundings(NamedTuple):
    """What lies under and round the inks.

    Attributes
    ----------
    figure, covered, shade : ndarray of float32, shape (rows, columns)
        The wood's relative reflectance; the board's share of each pixel; its shadow, 0 to 1.
    table_xyz : ndarray of float32, shape (3,)
        The table beside the board.
    shadow_depth, lighter : float
        How much a whole shadow takes; the share by which the lighter wood reflects more.
    """

    figure: Float32Array
    covered: Float32Array
    shade: Float32Array
    table_xyz: Float32Array
    shadow_depth: np.float32
    lighter: np.float32


@inner_kernel
def _lay_on(start: int, row: int, count: int, around: Surroundings, lighter: Float32Array,
            below: Float32Array, xyz: Float32Array) -> None:
    """Add the wood's figure to ``count`` colours, cut the board out and put the table behind it.

    The figure shows through as far as ``lighter`` wood differs from the one ``below`` the inks.
    """
    one = np.float32(1.0)
    for axis in range(3):
        table = around.table_xyz[axis]
        for pixel in range(count):
            swell = (around.figure[row, start + pixel] - one) / around.lighter
            covered = around.covered[row, start + pixel]
            lit = table * (one - around.shadow_depth * around.shade[row, start + pixel])
            through = (lighter[axis, pixel] - below[axis, pixel]) * swell
            xyz[axis, pixel] = (xyz[axis, pixel] + through) * covered + lit * (one - covered)


@inner_kernel
def _code(xyz: Float32Array, count: int, coding: Coding, places: Float32Array, row: int,
          start: int, out: NDArray[np.uint8]) -> None:
    """Levels of ``count`` colours into a row of ``out``; ``places`` (3, block) is working space."""
    steps = np.float32(coding.codes.shape[0] - 1)
    for axis in range(3):
        x, y, z = (np.float64(coding.to_linear[axis, 0]), np.float64(coding.to_linear[axis, 1]),
                   np.float64(coding.to_linear[axis, 2]))
        for pixel in range(count):
            # Each sum is rounded to single precision once, as fused instructions do it.
            linear = np.float32(np.float64(xyz[0, pixel]) * x)
            linear = np.float32(np.float64(xyz[1, pixel]) * y + linear)
            linear = np.float32(np.float64(xyz[2, pixel]) * z + linear)
            linear = min(max(linear, np.float32(0.0)), np.float32(1.0))
            places[axis, pixel] = linear * steps + np.float32(0.5)
    for pixel in range(count):
        for axis in range(3):
            out[row, start + pixel, axis] = coding.codes[np.int32(places[axis, pixel])]


@compiled_on_borrowed_arrays
def draw_rows(planes: NDArray[np.uint16], first: int, stop: int, inks: InkSums,
              around: Surroundings, coding: Coding, scratch: BlockScratch,
              out: NDArray[np.uint8]) -> None:
    """Rows of tone planes (k, rows, columns) as sRGB into ``out`` (rows, columns, 3)."""
    columns = planes.shape[2]
    xyz, lighter = scratch.xyz, scratch.other
    below = scratch.third if inks.estimated else xyz
    anew = not inks.one_curve
    for row in range(first, stop):
        for start in range(0, columns, BLOCK):
            count = min(BLOCK, columns - start)
            predict_block(planes, row, start, count, inks.wood, scratch, True, xyz)
            predict_block(planes, row, start, count, inks.lighter_wood, scratch, anew, lighter)
            if inks.estimated:
                predict_block(planes, row, start, count, inks.estimate, scratch, anew, below)
            _lay_on(start, row, count, around, lighter, below, xyz)
            _code(xyz, count, coding, lighter, row, start, out)
