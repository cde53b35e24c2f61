"""Solids and overprints that nobody has measured, from each ink over white and over black."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from separations.colour.colorimetry import D50_XYZ
from separations.colour.kubelka_munk import at_thickness, film_transmittance, over

FloatArray = NDArray[np.float64]

#: XYZ to three sharp channels in which films laid over each other nearly multiply.
#: Source: fitted here to the overprints of FOGRA40L, FOGRA28L, TR003 and TR005 alone;
#: FOGRA39L, FOGRA29L, TR002 and TR006 gave no number to it, but the form of the rule was
#: chosen with all of them in view.
XYZ_TO_FILM_CHANNELS: FloatArray = np.array([
    [1.000, -0.212, -0.141], [-0.375, 1.000, 0.033], [0.088, -0.071, 1.000]])
#: Where two clear inks lie over each other, the one that is weaker in a channel acts there at
#: this part of its thickness: what wet ink takes on, and what three broad channels overstate.
#: Source: fitted as above.
INK_ON_INK = 0.53
#: The same where the substrate drinks: printed ink takes still less of what comes on top.
#: Source: fitted to FOGRA29L, FOGRA30L and TR002 (uncoated paper and newsprint); each of them
#: judged by what the other two say in tests/published.
INK_ON_ABSORBENT = 0.30
#: Light off the top surface, over the darkest channel of the darkest solid. Source: as above.
SURFACE_OVER_DARKEST = 0.25
#: A surface never sends back more than this of itself at 45/0. Common practice, no source.
MOST_SURFACE = 0.03
_LEAST_LIGHT = 1e-3
_LEAST_XYZ = 1e-5

_TO_CHANNELS: FloatArray = XYZ_TO_FILM_CHANNELS / (XYZ_TO_FILM_CHANNELS @ D50_XYZ)[:, None]
_TO_XYZ: FloatArray = np.asarray(np.linalg.inv(_TO_CHANNELS), np.float64)


@dataclass(frozen=True, slots=True, kw_only=True)
class InkFilm:
    """One ink's solid as a film.

    Attributes
    ----------
    over_white_xyz : ndarray, shape (3,), float64
        XYZ D50 of the solid on its white reference.
    white_xyz : ndarray, shape (3,), float64
        XYZ D50 of that white reference.
    over_black_xyz : ndarray, shape (3,), float64
        XYZ D50 of the solid over perfect black; zeros for an ink that hides nothing.
    thickness : float
        Film thickness over that of the measured solid, above 0.
    """

    over_white_xyz: FloatArray
    white_xyz: FloatArray
    over_black_xyz: FloatArray
    thickness: float = 1.0


def surface_reflection(films: Sequence[InkFilm]) -> float:
    """Light off the top surface (0 to 1), judged from the darkest solid there is."""
    darkest = min(float((_channels(film.over_white_xyz) / _channels(film.white_xyz)).min())
                  for film in films)
    return float(np.clip(SURFACE_OVER_DARKEST * darkest, 0.0, MOST_SURFACE))


def layered_primaries(
    substrate_xyz: FloatArray,
    films: Sequence[InkFilm],
    *,
    measured_xyz: Mapping[int, FloatArray] | None = None,
    joint_films: Mapping[int, InkFilm] | None = None,
    surface: float | None = None,
    ink_on_ink: float = INK_ON_INK,
) -> FloatArray:
    """XYZ of all 2^k overprints of k inks, laid in the order given.

    Parameters
    ----------
    substrate_xyz : ndarray, shape (3,), float64
        XYZ D50 of the bare substrate, Y = 1 for the perfect diffuser.
    films : sequence of InkFilm
        The inks, first printed first.
    measured_xyz : mapping of int to ndarray of shape (3,), optional
        Overprints that were measured, by index (bit i: ink i is there). They stand as they
        are, and what is printed on top of them starts from them.
    joint_films : mapping of int to InkFilm, optional
        Groups of inks (by index) whose overprint was measured elsewhere, as one film each: it
        is laid over whatever was printed before the group.
    surface : float, optional
        Light off the top surface (0 to 1); judged from the darkest solid if not given.
    ink_on_ink : float
        Part of its thickness at which the weaker of two overlaid clear inks acts.

    Returns
    -------
    ndarray, shape (2^k, 3), float64
        XYZ D50 of each overprint.

    Notes
    -----
    Each ink is a two-flux film over what is beneath it, channel by channel. Opaque inks, and
    inks on top of opaque ones, act at full thickness.
    """
    given = dict(measured_xyz or {})
    given[0] = substrate_xyz
    glare = surface_reflection(films) if surface is None else surface
    laid = [_dark_and_through(film, glare) for film in films]
    primaries = np.zeros((1 << len(films), 3))
    hiding = np.zeros(1 << len(films))
    primaries[0] = substrate_xyz
    bare = _beneath(substrate_xyz, glare)
    for index in range(1, 1 << len(films)):
        top = index.bit_length() - 1
        below = index & ~(1 << top)
        dark, through = laid[top]
        own = float(dark[1] / over(dark, through, 1.0)[1])
        hiding[index] = max(own, hiding[below] * (1.0 - own))
        if index in given:
            primaries[index] = given[index]
            continue
        joint = _top_group(index, joint_films or {})
        if joint:
            below = index & ~joint
            dark, through = _dark_and_through((joint_films or {})[joint], glare)
        thickness = (joint_films or {})[joint].thickness if joint else films[top].thickness
        dark, through = at_thickness(dark, through, thickness)
        part = ink_on_ink + (1.0 - ink_on_ink) * max(hiding[below], own)
        light = _laid_over(dark, through, _beneath(primaries[below], glare), bare,
                           part if below else 1.0)
        primaries[index] = _TO_XYZ @ (glare + (1.0 - glare) * light)
    return np.maximum(primaries, _LEAST_XYZ)


def _laid_over(dark: FloatArray, through: FloatArray, beneath: FloatArray, bare: FloatArray,
               part: float) -> FloatArray:
    """Reflectance of a film over printed ink; per channel, the weaker acts at a part only."""
    weak_top = over(*at_thickness(dark, through, part), beneath)
    weak_below = over(dark, through, bare * (beneath / bare) ** part)
    return np.where(over(dark, through, bare) < beneath, weak_below, weak_top)


def _top_group(index: int, groups: Mapping[int, InkFilm]) -> int:
    """The largest group of an overprint's last printed inks that has a film of its own, or 0."""
    group, rest, found = 0, index, 0
    while rest:
        top = 1 << (rest.bit_length() - 1)
        group, rest = group | top, rest & ~top
        if group in groups:
            found = group
    return found


def _channels(xyz: FloatArray) -> FloatArray:
    return np.asarray(_TO_CHANNELS @ xyz)


def _beneath(xyz: FloatArray, glare: float) -> FloatArray:
    """Reflectance under the surface, per channel."""
    return np.asarray(np.maximum((_channels(xyz) - glare) / (1.0 - glare), _LEAST_LIGHT))


def _dark_and_through(film: InkFilm, glare: float) -> tuple[FloatArray, FloatArray]:
    """R0 and T of a film, per channel."""
    light, white = _beneath(film.over_white_xyz, glare), _beneath(film.white_xyz, glare)
    dark = np.zeros(3)
    if film.over_black_xyz.any():
        dark = np.minimum(_beneath(film.over_black_xyz, glare), 0.999 * light)
    return dark, film_transmittance(dark, light, white)
