"""Inks whose wedge a picture does not tell, each with a sentence and what to do about it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preflight.input_problem import InputProblem

FloatArray = NDArray[np.float64]

#: A colour in which an ink's solid is no darker than this (density) tells nothing of it.
_LEAST_DENSITY = 0.03
#: Bare wood with less than this share of full light in a colour tells nothing in it. Own rule.
_LEAST_LIGHT = 0.015
#: Tone values of one tone may differ by this (0 to 1, deviation), for an ink to be told. Own rule.
_MOST_NOISE = 0.05


def need_solid(where: str, ink: str, solid_density: FloatArray, left_out: str) -> None:
    """Refuse an ink of which no solid was read, or which looks like the wood in every colour.

    Parameters
    ----------
    solid_density : ndarray, shape (3,), float64
        Density of its solid over the wood in red, green and blue; NaN where not read.
    left_out : str
        Why its solids were left out.

    Raises
    ------
    InputProblem
        As told.
    """
    if np.isnan(solid_density).all():
        beyond = "beyond the picture's levels" in left_out
        raise InputProblem(
            where=f"{where}: {ink}", found="no solid that could be read",
            would_do=("a picture whose bare wood is not white and whose solids are not black, "
                      "taken without any raising of contrast" if beyond else
                      "further pictures, so that each ink's wedge is seen whole once")
                     + f"; what was left out: {left_out};")
    if float(np.nanmax(np.abs(solid_density))) < _LEAST_DENSITY:
        raise InputProblem(where=f"{where}: {ink}", found="a solid that looks like the bare wood",
                           would_do="a meter for this ink, or a picture under whiter light")


def need_light(where: str, ink: str, colour: str, wood: float) -> None:
    """Refuse an ink that shows in a colour of which the picture's light has next to nothing.

    Parameters
    ----------
    colour : str
        The colour in which it shows best.
    wood : float
        Linear light (0 to 1) of the bare wood in it.

    Raises
    ------
    InputProblem
        As told.
    """
    if wood < _LEAST_LIGHT:
        raise InputProblem(
            where=f"{where}: {ink}", found=f"wood with {100 * wood:.1f} % of full {colour} light, "
            "in which this ink shows",
            would_do="a picture by daylight or on a scanner, not by a lamp's coloured light,")


def need_quiet(where: str, ink: str, off: float) -> None:
    """Refuse an ink whose patches of one tone differ too much.

    Parameters
    ----------
    off : float
        Deviation (tone value, 0 to 1) of a patch of a light tone.

    Raises
    ------
    InputProblem
        As told.
    """
    if off > _MOST_NOISE:
        raise InputProblem(
            where=f"{where}: {ink}", found=f"patches of one tone that differ by {100 * off:.0f} "
            "points",
            would_do="a picture with less noise and even light: a scan, or daylight, the camera's "
                     "lowest sensitivity and a steady support,")
