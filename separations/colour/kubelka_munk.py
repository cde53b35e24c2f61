"""One ink film as two fluxes of light: what it sends back and what it lets through.

A film is given per channel by R0, its reflectance over perfect black, and by T, the light it
lets through one way; that pair says the same as Kubelka and Munk's S and K times the thickness.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

#: Below this reflectance over black a film scatters too little to tell from a clear stain.
_CLEAR = 1e-6
_LEAST_LIGHT = 1e-6


def film_transmittance(over_black: ArrayLike, over_backing: ArrayLike,
                       backing: ArrayLike) -> FloatArray:
    """Light let through one way (0 to 1), from one film over black and over a light backing.

    Parameters
    ----------
    over_black, over_backing, backing : array_like, float
        Reflectances of the film over perfect black and over the backing, and of the backing, 0 to
        1; the first may be 0.

    Notes
    -----
    Source: Kubelka 1948, R = R0 + T^2 Rg / (1 - R0 Rg), solved for T.
    """
    dark, light = np.asarray(over_black, np.float64), np.asarray(over_backing, np.float64)
    back = np.asarray(backing, np.float64)
    squared = (light - dark) * (1.0 - dark * back) / back
    return np.sqrt(np.clip(squared, _LEAST_LIGHT, (1.0 - dark) ** 2))


def over(film_dark: ArrayLike, film_through: ArrayLike, backing: ArrayLike) -> FloatArray:
    """Reflectance (0 to 1) of a film (R0, T) laid over a backing's reflectance (0 to 1).

    Notes
    -----
    Source: Kubelka 1948, R = R0 + T^2 Rg / (1 - R0 Rg).
    """
    dark, through = np.asarray(film_dark, np.float64), np.asarray(film_through, np.float64)
    back = np.asarray(backing, np.float64)
    return np.asarray(dark + through**2 * back / (1.0 - dark * back))


def at_thickness(film_dark: ArrayLike, film_through: ArrayLike,
                 factor: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """The same ink laid down thicker or thinner.

    Parameters
    ----------
    film_dark, film_through : array_like, float
        R0 and T of the film, 0 to 1.
    factor : array_like, float
        New thickness over old, above 0.

    Returns
    -------
    tuple of ndarray, float64
        R0 and T of the new film.

    Notes
    -----
    Source: Kubelka and Munk 1931: S and K stay, the thickness scales. A film that does not
    scatter follows Bouguer's law, T to the power of the factor.
    """
    dark, through, scale = np.broadcast_arrays(
        np.asarray(film_dark, np.float64), np.asarray(film_through, np.float64),
        np.asarray(factor, np.float64))
    clear = dark < _CLEAR
    safe = np.where(clear, 0.5, dark)
    passed = np.where(clear, 0.25, np.minimum(through, 1.0 - safe - 1e-9))
    a = (1.0 + safe**2 - passed**2) / (2.0 * safe)
    b = np.sqrt(np.maximum(a * a - 1.0, 1e-18))
    # R0 = sinh(p) / (a sinh(p) + b cosh(p)) and T = b / (a sinh(p) + b cosh(p)), p = b S X
    power = np.arcsinh(b * safe / passed) * scale
    below = a * np.sinh(power) + b * np.cosh(power)
    new_dark = np.where(clear, dark * scale, np.sinh(power) / below)
    new_through = np.where(clear, through**scale, b / below)
    return new_dark, new_through
