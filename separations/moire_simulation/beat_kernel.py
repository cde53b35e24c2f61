"""The compiled sum of a beat over the halftone's harmonics."""

from __future__ import annotations

import math

from numba import njit

from separations.compiled_code import LENT_FLAGS

_compiled = njit(**LENT_FLAGS)


@_compiled
def sum_beats(dots, edges, along, across, near, flow, room, sums):  # type: ignore[no-untyped-def]
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
