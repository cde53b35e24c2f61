"""Reflectance spectra as colours: the weighted sums of ASTM E308 for D50 and 2 degrees."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

#: Wavelengths (nm) of the first and the last row of the tables, and from row to row.
FIRST_NM, LAST_NM, STEPS_NM = 360, 780, (10, 20)
#: X, Y and Z of a perfect diffuser in each band of 10 nm. Source: ASTM E308 (weights made as ASTM
#: E2022 tells), D50, CIE 1931 observer, to three places; reckoned with colour-science.
_WEIGHTS_10: FloatArray = np.array([
    [0.000, 0.000, 0.001], [0.001, 0.000, 0.005], [0.003, 0.000, 0.013],
    [0.012, 0.000, 0.057], [0.060, 0.002, 0.283], [0.233, 0.006, 1.110],
    [0.775, 0.023, 3.722], [1.619, 0.066, 7.901], [2.451, 0.162, 12.301],
    [2.772, 0.313, 14.618], [2.498, 0.514, 14.338], [1.718, 0.798, 11.304],
    [0.860, 1.238, 7.302], [0.283, 1.841, 4.132], [0.040, 2.947, 2.466],
    [0.088, 4.632, 1.447], [0.594, 6.591, 0.737], [1.589, 8.302, 0.401],
    [2.800, 9.199, 0.196], [4.204, 9.645, 0.085], [5.657, 9.472, 0.037],
    [7.135, 8.905, 0.020], [8.533, 8.105, 0.015], [9.269, 6.839, 0.010],
    [9.833, 5.837, 0.007], [9.464, 4.751, 0.004], [8.006, 3.572, 0.002],
    [5.932, 2.446, 0.001], [4.168, 1.628, 0.000], [2.611, 0.985, 0.000],
    [1.541, 0.570, -0.000], [0.854, 0.312, 0.000], [0.433, 0.157, 0.000],
    [0.194, 0.070, 0.000], [0.097, 0.035, 0.000], [0.050, 0.018, 0.000],
    [0.022, 0.008, 0.000], [0.012, 0.004, 0.000], [0.006, 0.002, 0.000],
    [0.002, 0.001, 0.000], [0.001, 0.000, 0.000], [0.001, 0.000, 0.000],
    [0.000, 0.000, 0.000],
])


#: The same in bands of 20 nm, whose reflectances are taken to lie on smooth curves between.
_WEIGHTS_20: FloatArray = np.array([
    [-0.001, -0.000, -0.003], [-0.007, -0.000, -0.034],
    [0.099, 0.001, 0.454], [1.655, 0.044, 7.935],
    [4.787, 0.325, 24.150], [4.893, 1.017, 28.101],
    [1.815, 2.414, 15.027], [0.045, 6.038, 4.888],
    [1.262, 13.141, 1.507], [5.606, 18.438, 0.375],
    [11.361, 18.959, 0.069], [16.907, 16.062, 0.026],
    [19.540, 11.649, 0.014], [15.914, 7.130, 0.003],
    [8.343, 3.246, 0.000], [3.113, 1.143, -0.000],
    [0.856, 0.309, -0.000], [0.179, 0.064, 0.000],
    [0.044, 0.016, 0.000], [0.010, 0.004, 0.000],
    [0.002, 0.001, 0.000], [0.000, 0.000, 0.000],
])
_WEIGHTS = {10: _WEIGHTS_10, 20: _WEIGHTS_20}


def reflectance_to_xyz(first_nm: int, reflectance: FloatArray, step_nm: int = 10) -> FloatArray:
    """XYZ D50 (Y = 1 for the perfect diffuser) of reflectances every 10 or 20 nm.

    Parameters
    ----------
    first_nm : int
        Wavelength of the first band, a multiple of the step from 360 on.
    reflectance : ndarray, shape (N, B), float64
        Reflectance factors, 1 for the perfect diffuser; the last band no further than 780 nm.
    step_nm : int
        10 or 20.

    Returns
    -------
    ndarray, shape (N, 3), float64
        XYZ.

    Notes
    -----
    What was not read at either end counts as the band next to it. Source: ASTM E308 (from
    memory, unverified).
    """
    table = _WEIGHTS[step_nm]
    start = (first_nm - FIRST_NM) // step_nm
    stop = start + reflectance.shape[1]
    weights = table[start:stop].copy()
    weights[0] += table[:start].sum(axis=0)
    weights[-1] += table[stop:].sum(axis=0)
    return np.asarray(reflectance @ weights / 100.0)


def in_bands(first_nm: int, reflectance: FloatArray, step_nm: int) -> FloatArray:
    """Reflectances in every band of 10 nm from 360 to 780 nm; shape (N, B) to (N, 43).

    Parameters are those of `reflectance_to_xyz`.

    Notes
    -----
    Between bands of 20 nm by Lagrange's cubic, at either end by his square; what was not read
    counts as the band next to it. Source: ASTM E2022 and E308 (from memory, unverified).
    """
    read = reflectance
    if step_nm == STEPS_NM[1]:
        read = np.empty((len(reflectance), 2 * reflectance.shape[1] - 1))
        read[:, ::2] = reflectance
        read[:, 3:-3:2] = reflectance @ _between(reflectance.shape[1])
        read[:, 1] = reflectance[:, :3] @ _END_SQUARE
        read[:, -2] = reflectance[:, :-4:-1] @ _END_SQUARE
    before = (first_nm - FIRST_NM) // STEPS_NM[0]
    after = BANDS - before - read.shape[1]
    return np.pad(read, ((0, 0), (before, after)), mode="edge")


def _between(count: int) -> FloatArray:
    """From bands (count) to the middles between them, but for the first and the last."""
    matrix = np.zeros((count, count - 3))
    for place in range(count - 3):
        matrix[place:place + 4, place] = np.array([-1.0, 9.0, 9.0, -1.0]) / 16.0
    return matrix


#: Lagrange's square at the middle of an end's first step.
_END_SQUARE: FloatArray = np.array([3.0, 6.0, -1.0]) / 8.0
#: How many bands of 10 nm there are.
BANDS = len(_WEIGHTS_10)


def d50_weights() -> FloatArray:
    """X, Y and Z of each band of 10 nm for D50 and 2 degrees; shape (43, 3), Y = 1 in all."""
    return _WEIGHTS_10 / 100.0
