"""Reflectance spectra as colours: the weighted sums of ASTM E308 for D50 and 2 degrees."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

#: Wavelengths (nm) of the first and the last row of the table, and from row to row.
FIRST_NM, LAST_NM, STEP_NM = 360, 780, 10
#: X, Y and Z of a perfect diffuser in each band of 10 nm. Source: ASTM E308 (weights made as ASTM
#: E2022 tells), D50, CIE 1931 observer, to three places; reckoned with colour-science.
_WEIGHTS: FloatArray = np.array([
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


def reflectance_to_xyz(first_nm: int, reflectance: FloatArray) -> FloatArray:
    """XYZ D50 (Y = 1 for the perfect diffuser) of reflectances every 10 nm.

    Parameters
    ----------
    first_nm : int
        Wavelength of the first band, a multiple of 10 from 360 on.
    reflectance : ndarray, shape (N, B), float64
        Reflectance factors, 1 for the perfect diffuser; the last band no further than 780 nm.

    Returns
    -------
    ndarray, shape (N, 3), float64
        XYZ.

    Notes
    -----
    What was not read at either end counts as the band next to it. Source: ASTM E308 (from
    memory, unverified).
    """
    start = (first_nm - FIRST_NM) // STEP_NM
    stop = start + reflectance.shape[1]
    weights = _WEIGHTS[start:stop].copy()
    weights[0] += _WEIGHTS[:start].sum(axis=0)
    weights[-1] += _WEIGHTS[stop:].sum(axis=0)
    return np.asarray(reflectance @ weights / 100.0)
