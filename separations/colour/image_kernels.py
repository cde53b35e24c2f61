"""Compiled prediction of whole images, many pixels at a time.

The same sums as in print_kernels, laid out so that the processor takes several pixels in one
instruction; single precision is ample for a picture.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from separations.colour.print_kernels import PrintSums
from separations.runtime.compiled_code import compiled_on_borrowed_arrays, inner_kernel

Float32Array = NDArray[np.float32]

#: Pixels taken at a time.
BLOCK = 128
_LAB_KNEE = np.float32(216.0 / 24389.0)
_LAB_SLOPE = np.float32(24389.0 / 27.0)
_TONE_TOP = np.float32(65535.0)
#: Start of the cube root search: a third of the exponent bits, and the bias that fits.
_ROOT_START = np.int32(709921077)
_LEAST = np.float32(1e-12)


class SingleSums(NamedTuple):
    """`PrintSums` in single precision; ``spread`` is (k 2^k or 0, 3).

    ``one_curve`` says that each ink's curve is the same in all channels.
    """

    curves: Float32Array
    bent: Float32Array
    n: Float32Array
    spread: Float32Array
    to_xyz: Float32Array
    white: Float32Array
    one_curve: bool


class BlockScratch(NamedTuple):
    """Working space for a block of pixels, of one thread.

    ``areas`` and ``grown`` are (k, block), ``work`` (2^(k - 1), block), ``xyz``, ``other`` and
    ``third`` (3, block); ``bits`` is ``light`` (block,) seen as int32.
    """

    areas: Float32Array
    grown: Float32Array
    work: Float32Array
    xyz: Float32Array
    other: Float32Array
    third: Float32Array
    light: Float32Array
    bits: NDArray[np.int32]


def block_scratch(inks: int) -> BlockScratch:
    """Working space for that many inks."""
    def room(*rows: int) -> Float32Array:
        return np.empty((*rows, BLOCK), np.float32)

    light = room()
    return BlockScratch(areas=room(inks), grown=room(inks), work=room(1 << (inks - 1)),
                        xyz=room(3), other=room(3), third=room(3), light=light,
                        bits=light.view(np.int32))


def single_sums(sums: PrintSums) -> SingleSums:
    """The same sums in single precision, spreading coefficients in rows of all inks."""
    flat = sums._replace(spread=sums.spread.reshape(-1, 3))
    curves, bent, n, spread, to_xyz, white = (np.ascontiguousarray(part, np.float32)
                                              for part in flat)
    return SingleSums(curves=curves, bent=bent, n=n, spread=spread, to_xyz=to_xyz, white=white,
                      one_curve=bool((curves == curves[:, :1]).all()))


@inner_kernel
def _blend_block(table: Float32Array, first: int, channel: int, areas: Float32Array, count: int,
                 work: Float32Array) -> None:
    """Multilinear blend of 2^k table rows at ``count`` pixels' areas, into ``work[0]``."""
    inks = areas.shape[0]
    half = 1 << (inks - 1)
    for corner in range(half):
        low = table[first + corner, channel]
        rise = table[first + corner + half, channel] - low
        for pixel in range(count):
            work[corner, pixel] = low + areas[inks - 1, pixel] * rise
    for ink in range(inks - 2, -1, -1):
        half = 1 << ink
        for corner in range(half):
            for pixel in range(count):
                work[corner, pixel] += areas[ink, pixel] * (
                    work[corner + half, pixel] - work[corner, pixel])


@inner_kernel
def _areas_block(planes: NDArray[np.uint16], row: int, start: int, count: int, channel: int,
                 curves: Float32Array, areas: Float32Array) -> None:
    """Areas of one channel at ``count`` pixels of a row."""
    last = curves.shape[2] - 1
    scale = np.float32(last) / _TONE_TOP
    for ink in range(planes.shape[0]):
        for pixel in range(count):
            place = np.float32(planes[ink, row, start + pixel]) * scale
            step = min(np.int32(place), last - 1)
            low = curves[ink, channel, step]
            areas[ink, pixel] = low + (place - np.float32(step)) * (
                curves[ink, channel, step + 1] - low)


@inner_kernel
def _lab_block(xyz: Float32Array, count: int, white: Float32Array, root: Float32Array,
               bits: NDArray[np.int32]) -> None:
    """Lab of ``count`` pixels, ``xyz`` (3, block) in place; ``bits`` is ``root`` seen as int32."""
    for axis in range(3):
        over = np.float32(1.0) / white[axis]
        for pixel in range(count):
            root[pixel] = max(xyz[axis, pixel] * over, _LEAST)
            xyz[axis, pixel] = root[pixel]
        for pixel in range(count):
            bits[pixel] = bits[pixel] // np.int32(3) + _ROOT_START
        for pixel in range(count):
            ratio, guess = xyz[axis, pixel], root[pixel]
            for _ in range(2):
                cube = guess * guess * guess
                guess = guess * (cube + ratio + ratio) / (cube + cube + ratio)
            line = (_LAB_SLOPE * ratio + np.float32(16.0)) / np.float32(116.0)
            xyz[axis, pixel] = guess if ratio > _LAB_KNEE else line
    for pixel in range(count):
        x, y, z = xyz[0, pixel], xyz[1, pixel], xyz[2, pixel]
        xyz[0, pixel] = np.float32(116.0) * y - np.float32(16.0)
        xyz[1, pixel] = np.float32(500.0) * (x - y)
        xyz[2, pixel] = np.float32(200.0) * (y - z)


@inner_kernel
def _channel_block(sums: SingleSums, channel: int, areas: Float32Array, grown: Float32Array,
                   count: int, work: Float32Array, light: Float32Array) -> None:
    """Reflectance of one channel at ``count`` pixels' areas into ``light``."""
    chosen = areas
    if sums.spread.shape[0] > 0:
        chosen = grown
        for ink in range(areas.shape[0]):
            _blend_block(sums.spread, ink << areas.shape[0], channel, areas, count, work)
            for pixel in range(count):
                share = areas[ink, pixel]
                grown[ink, pixel] = share + share * (np.float32(1.0) - share) * work[0, pixel]
    _blend_block(sums.bent, 0, channel, chosen, count, work)
    power = sums.n[channel]
    for pixel in range(count):
        value = max(work[0, pixel], np.float32(0.0))
        light[pixel] = value * value if power == 2.0 else value**power


@inner_kernel
def predict_block(planes: NDArray[np.uint16], row: int, start: int, count: int,
                  sums: SingleSums, scratch: BlockScratch, with_areas: bool,
                  xyz: Float32Array) -> None:
    """XYZ of ``count`` pixels of a row into ``xyz`` (3, block).

    Without ``with_areas`` those in ``scratch`` hold already: other inks' colours, same curves.
    """
    light = scratch.light
    for channel in range(3):
        if with_areas and (channel == 0 or not sums.one_curve):
            _areas_block(planes, row, start, count, channel, sums.curves, scratch.areas)
        _channel_block(sums, channel, scratch.areas, scratch.grown, count, scratch.work, light)
        for axis in range(3):
            weight = sums.to_xyz[axis, channel]
            for pixel in range(count):
                before = np.float32(0.0) if channel == 0 else xyz[axis, pixel]
                xyz[axis, pixel] = before + weight * light[pixel]


@compiled_on_borrowed_arrays
def predict_plane_rows(planes: NDArray[np.uint16], first: int, stop: int, sums: SingleSums,
                       as_lab: bool, scratch: BlockScratch, out: Float32Array) -> None:
    """XYZ or Lab of rows of tone planes (k, rows, cols) into ``out`` (rows, cols, 3)."""
    cols = planes.shape[2]
    xyz = scratch.xyz
    for row in range(first, stop):
        for start in range(0, cols, BLOCK):
            count = min(BLOCK, cols - start)
            predict_block(planes, row, start, count, sums, scratch, True, xyz)
            if as_lab:
                _lab_block(xyz, count, sums.white, scratch.light, scratch.bits)
            for pixel in range(count):
                for axis in range(3):
                    out[row, start + pixel, axis] = xyz[axis, pixel]
