"""Inks whose wedge a picture does not tell, each with a sentence and what to do about it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preflight.input_problem import InputProblem
from separations.uses.press_scan.patch_light import BEYOND_LEVELS

FloatArray = NDArray[np.float64]

COLOURS = ("red", "green", "blue")
#: A colour in which an ink's solid is no darker than this (density) tells nothing of it.
_LEAST_DENSITY = 0.03
#: Bare wood with less than this share of full light in a colour tells nothing in it. Own rule.
_LEAST_LIGHT = 0.015
#: Tone values of one tone may differ by this (0 to 1, deviation), for an ink to be told. Own rule.
_MOST_NOISE = 0.05


def need_solid(where: str, ink: str, solid_density: FloatArray, wood: FloatArray,
               left_out: str) -> None:
    """Refuse an ink of which no solid was read, or which looks like the wood in every colour.

    Parameters
    ----------
    solid_density : ndarray, shape (3,), float64
        Density of its solid over the wood in red, green and blue; NaN where not read.
    wood : ndarray, shape (3,), float64
        Linear light (0 to 1) of the bare wood in red, green and blue.
    left_out : str
        Why its solids were left out.

    Raises
    ------
    InputProblem
        As told.
    """
    dim = int(np.argmin(wood))
    if wood[dim] < _LEAST_LIGHT and not abs(solid_density[dim]) < np.nanmax(
            np.abs(solid_density), initial=0.0):
        raise InputProblem(
            where=f"{where}: {ink}",
            found=f"wood with {100 * wood[dim]:.1f} % of full {COLOURS[dim]} light, in which this "
            "ink may show best",
            would_do="a picture by daylight or on a scanner, not by a lamp's coloured light,")
    if np.isnan(solid_density).all():
        _refuse_crushed(where, ink, left_out)
        raise InputProblem(
            where=f"{where}: {ink}", found="no solid that could be read",
            would_do="further pictures, so that each ink's wedge is seen whole at least once; "
                     f"what was left out: {left_out};")
    if float(np.nanmax(np.abs(solid_density))) < _LEAST_DENSITY:
        raise InputProblem(where=f"{where}: {ink}", found="a solid that looks like the bare wood",
                           would_do="a meter for this ink, or a picture under whiter light")


def _refuse_crushed(where: str, ink: str, left_out: str) -> None:
    if BEYOND_LEVELS in left_out:
        raise InputProblem(
            where=f"{where}: {ink}", found=f"solids whose light lies {BEYOND_LEVELS}",
            would_do="a picture whose bare wood is not white and whose solids are not black, taken "
                     "without any raising of contrast,")


def need_quiet(where: str, ink: str, off: float, left_out: str) -> None:
    """Refuse an ink whose patches of one tone differ too much.

    Parameters
    ----------
    off : float
        Deviation (tone value, 0 to 1) of a patch of a light tone.
    left_out : str
        Why its solids were left out, in whichever colour.

    Raises
    ------
    InputProblem
        As told.
    """
    if off > _MOST_NOISE:
        _refuse_crushed(where, ink, left_out)
        raise InputProblem(
            where=f"{where}: {ink}", found=f"patches of one tone that differ by {100 * off:.0f} "
            "points",
            would_do="a picture with less noise and even light: a scan, or daylight, the camera's "
                     "lowest sensitivity and a steady support,")
