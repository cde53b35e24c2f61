"""Halftones by area: Murray-Davies, Yule-Nielsen, Demichel and Neugebauer, in their plain form.

What the print model's compiled sums are held against.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]


def halftone_density(area: ArrayLike, solid_density: ArrayLike, n: float = 1.0) -> FloatArray:
    """Density of a halftone over that of its substrate.

    Parameters
    ----------
    area : array_like, float
        Share of the surface under ink, 0 to 1.
    solid_density : array_like, float
        Density of the solid above the substrate.
    n : float
        Yule-Nielsen factor, at least 1; 1 is the law of Murray and Davies.

    Notes
    -----
    Source: Murray 1936, D = log10(1 / (1 - a (1 - 10^-Ds))); Yule and Nielsen 1951 for n.
    """
    through = 1.0 - np.asarray(area, np.float64) * (1.0 - 10.0 ** (-np.asarray(solid_density) / n))
    return np.asarray(-n * np.log10(through))


def halftone_area(density: ArrayLike, solid_density: ArrayLike, n: float = 1.0) -> FloatArray:
    """Share of the surface under ink (0 to 1) from the halftone's and the solid's density.

    Notes
    -----
    Source: the inverse of `halftone_density`.
    """
    tint = 1.0 - 10.0 ** (-np.asarray(density, np.float64) / n)
    return np.asarray(tint / (1.0 - 10.0 ** (-np.asarray(solid_density, np.float64) / n)))


def demichel_weights(areas: ArrayLike) -> FloatArray:
    """Shares of the 2^k overprints of k halftones laid at random over each other.

    Parameters
    ----------
    areas : array_like, shape (..., k), float
        Share of the surface under each ink, 0 to 1.

    Returns
    -------
    ndarray, shape (..., 2^k), float64
        Share of each overprint; bit i of the index says whether ink i is there. They sum to 1.

    Notes
    -----
    Source: Demichel 1924, as in Westland and Ripamonti, eq. 9.7.
    """
    shares = np.asarray(areas, np.float64)
    weights = np.ones((*shares.shape[:-1], 1))
    for ink in range(shares.shape[-1]):
        here = shares[..., ink : ink + 1]
        weights = np.concatenate([weights * (1.0 - here), weights * here], axis=-1)
    return weights


def neugebauer(areas: ArrayLike, primaries: ArrayLike, n: float = 1.0) -> FloatArray:
    """Reflectance of overlaid halftones, the Yule-Nielsen modified Neugebauer sum.

    Parameters
    ----------
    areas : array_like, shape (..., k), float
        Share of the surface under each ink, 0 to 1.
    primaries : array_like, shape (2^k, c), float
        Reflectance (0 to 1) of each overprint in c channels, indexed as `demichel_weights`.
    n : float
        Yule-Nielsen factor, at least 1.

    Returns
    -------
    ndarray, shape (..., c), float64
        Reflectance, 0 to 1.

    Notes
    -----
    Source: Neugebauer 1937; Yule and Nielsen 1951.
    """
    bent = np.asarray(primaries, np.float64) ** (1.0 / n)
    return np.asarray((demichel_weights(areas) @ bent) ** n)
