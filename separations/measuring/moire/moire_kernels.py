"""The compiled loops of tiles: their strongest waves, and means of a plane round them."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from separations.runtime.compiled_code import compiled, compiled_on_borrowed_arrays, inner_kernel

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Places = NDArray[np.int64]
#: A place (s, t) in pitches of a cloth.
Position = tuple[float, float]


@compiled_on_borrowed_arrays
def sum_beats(
    dots: Floats, edges: Floats, along: Floats, across: Floats, near: Places, flow: float,
    room: Floats, sums: NDArray[np.complex128],
) -> None:
    """What each wave of a cloth makes of a halftone's edges, over the halftone's harmonics.

    A wave's sum is that over (k, j) of the edges' harmonic near − (k, j), times the dots' harmonic
    (k, j), times what flow leaves of the wave beside that one, whose two directions are factors.

    Parameters
    ----------
    dots : NDArray of float64, shape (2, m, m)
        Real and imaginary parts of the dots' harmonics −(m − 1) / 2 to (m − 1) / 2, both ways.
    edges : NDArray of float64, shape (2, n, n + m)
        Those of the edges, harmonic 0 first and then falling; they come round after n.
    along, across : NDArray of float64, shape (N,)
        Each wave in the halftone's frame (rulings).
    near : NDArray of int64, shape (N, 2)
        The halftone's harmonic that beats with it.
    flow : float
        A wave of f rulings keeps exp(flow × f²) as the ink flows out.
    room : NDArray of float64, shape (4, m)
        To work in.
    sums : NDArray of complex128, shape (N,)
        The result.
    """
    orders, points = dots.shape[1], edges.shape[1]
    rows, columns, real, imaginary = room[0], room[1], room[2], room[3]
    for p in range(sums.size):
        for k in range(orders):
            order = k - orders // 2
            rows[k] = math.exp(flow * (order + along[p]) ** 2)
            columns[k] = math.exp(flow * (order + across[p]) ** 2)
            real[k] = imaginary[k] = 0.0
        first = (-(orders // 2) - near[p, 1]) % points
        for k in range(orders):
            row = (k - orders // 2 - near[p, 0]) % points
            edge_re = edges[0, row, first:first + orders]
            edge_im = edges[1, row, first:first + orders]
            dot_re, dot_im = dots[0, k], dots[1, k]
            kept = rows[k]
            for j in range(orders):
                real[j] += kept * (edge_re[j] * dot_re[j] - edge_im[j] * dot_im[j])
                imaginary[j] += kept * (edge_re[j] * dot_im[j] + edge_im[j] * dot_re[j])
        total = 0j
        for j in range(orders):
            total += columns[j] * complex(real[j], imaginary[j])
        sums[p] = total


_TABLE = 1024


@compiled
def ink_through(
    start: Position, row_step: Position, column_step: Position, bar: float, weave: float,
    ramp: float, out: Singles,
) -> None:
    """Ink that passes (0 to 1) at each pixel: nothing under the threads.

    ``start``, ``row_step`` and ``column_step`` are positions (s, t) in pitches of the first pixel,
    and of one row and one column.
    """
    waves = np.empty(_TABLE, np.float32)
    for n in range(_TABLE):
        waves[n] = np.float32(math.cos(2.0 * math.pi * n / _TABLE))
    sharp = np.float32(1.0 / ramp)
    half = np.float32(bar / 2.0)
    swing = np.float32(bar / 2.0 * weave)
    for row in range(out.shape[0]):
        s0 = start[0] + row * row_step[0]
        t0 = start[1] + row * row_step[1]
        for column in range(out.shape[1]):
            s = s0 + column * column_step[0]
            t = t0 + column * column_step[1]
            i, j = math.floor(s + 0.5), math.floor(t + 0.5)
            odd_i, odd_j = int(i) & 1, int(j) & 1
            wave_t = waves[int((t * 0.5 - math.floor(t * 0.5)) * _TABLE) % _TABLE]
            wave_s = waves[int((s * 0.5 - math.floor(s * 0.5)) * _TABLE) % _TABLE]
            warp_half = half + (swing if odd_i == 0 else -swing) * wave_t
            weft_half = half - (swing if odd_j == 0 else -swing) * wave_s
            one = (np.float32(abs(s - i)) - warp_half) * sharp + np.float32(0.5)
            other = (np.float32(abs(t - j)) - weft_half) * sharp + np.float32(0.5)
            one = min(max(one, np.float32(0.0)), np.float32(1.0))
            other = min(max(other, np.float32(0.0)), np.float32(1.0))
            out[row, column] = one * other


@compiled_on_borrowed_arrays
def through_dots(packed: NDArray[np.uint8], opening: Singles, out: Singles) -> None:
    """What of a cloth's opening, shape (rows, columns), lies at the dots; nothing beside them.

    ``packed`` are the dots, leftmost in the highest bit, shape (rows, columns / 8).
    """
    for row in range(out.shape[0]):
        for byte in range(packed.shape[1]):
            dots = packed[row, byte]
            for bit in range(8):
                column = 8 * byte + bit
                out[row, column] = (opening[row, column] if dots & np.uint8(128 >> bit)
                                    else np.float32(0.0))


@inner_kernel
def _within(place: int, count: int) -> int:
    """A place, or where it lies mirrored at the first or the last of so many."""
    while count > 1 and not 0 <= place < count:
        place = -place if place < 0 else 2 * (count - 1) - place
    return min(max(place, 0), count - 1)


@compiled_on_borrowed_arrays
def box_means(
    plane: NDArray[np.uint16], rows: Places, columns: Places, side: int, means: Floats,
) -> None:
    """Means over a square round each place; beyond its rim the plane is mirrored.

    Parameters
    ----------
    plane : NDArray of uint16, shape (plane rows, plane columns)
    rows, columns : NDArray of int64, shape (N,)
        The squares' middles.
    side : int
        Of the square, at most 65536; where it is even, one pixel more lies above and to the left.
    means : NDArray of float64, shape (N,)
        The result.
    """
    for n in range(means.size):
        top, left = rows[n] - side // 2, columns[n] - side // 2
        inside = left >= 0 and left + side <= plane.shape[1]
        total = np.int64(0)
        for r in range(top, top + side):
            row = plane[_within(r, plane.shape[0])]
            line = np.uint32(0)
            if inside:
                part = row[left:left + side]
                for c in range(side):
                    line = np.uint32(line + part[c])
            else:
                for c in range(left, left + side):
                    line = np.uint32(line + row[_within(c, plane.shape[1])])
            total += np.int64(line)
        means[n] = total / (side * side)


@compiled_on_borrowed_arrays
def strongest_waves(
    waves: Singles, rows: Places, first: int, weights: Singles, room: Singles, best: Singles,
) -> None:
    """The greatest of each tile's weighted waves.

    Parameters
    ----------
    waves : NDArray of float32, shape (N, tile rows, tile columns)
        Amplitudes, at least 0.
    rows : NDArray of int64, shape (n,)
        The rows that count.
    first : int
        The first column that counts.
    weights : NDArray of float32, shape (n, m)
        What the waves of these rows and m columns are multiplied with, at least 0.
    room : NDArray of float32, shape (m,)
        To work in.
    best : NDArray of float32, shape (N,)
        The result.
    """
    end = first + room.size
    bits = room.view(np.int32)  # which rise with the numbers, none being below 0
    bits_of_best = best.view(np.int32)
    for tile in range(best.size):
        most = np.int32(0)
        for n in range(rows.size):
            row, weight = waves[tile, rows[n], first:end], weights[n]
            for c in range(room.size):
                room[c] = row[c] * weight[c]
            for c in range(room.size):
                most = max(most, bits[c])
        bits_of_best[tile] = most
