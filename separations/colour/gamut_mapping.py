"""From a photograph's colours to printable ones: hue kept, chroma and lightness gently brought in.

Every colour is its lightness, and its hue and distance from the greys; in print the greys are
those that the inks can print (`separations.colour.ink_reach`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from separations.colour.adaptation import print_viewer
from separations.colour.hue_space import lpt_to_xyz, xyz_to_lpt
from separations.colour.ink_reach import InkReach, seen_lpt

FloatArray = NDArray[np.float64]

#: Share of the way to the gamut's surface up to which colours stay as they are. Own rule; the
#: reference mapping of CIE 156:2004 has 0.9 and a straight line beyond.
KNEE = 0.85
#: Lightness (as seen) under which greys go over to the darkest colour's own tint. Own rule.
_DEEP = 8.0
#: Steps of the search for the surface along each colour's way: first coarse ones, then halving.
_FARTHEST, _HALVINGS = 4.0, 10
_SHARES = (*np.linspace(0.0, 1.0, 21)[1:].tolist(), *np.geomspace(1.1, _FARTHEST, 14).tolist())


@dataclass(frozen=True, slots=True, kw_only=True)
class WayIn:
    """Where colours go that are out of reach.

    Attributes
    ----------
    pale : float
        Colours of far less chroma than this (about Lab units) keep their lightness, since they
        have little colour to lose; those of far more darken for their chroma.
    lower : float
        How much darker than each hue's most vivid colour their way leads (L*).

    Notes
    -----
    Source: lines to the lightness of the hue's cusp as in SGCK of CIE 156:2004, there for all
    colours. ``pale`` is our own rule. Colours darker than the cusp keep their lightness.
    """

    pale: float
    lower: float


def aimed_lab(photo_lab: FloatArray, reach: InkReach) -> FloatArray:
    """Lab D50 that a print should have to look like the photograph, within reach or not.

    Parameters
    ----------
    photo_lab : ndarray, shape (..., 3), float64
        Lab D50 of the photograph, its white at (100, 0, 0).
    reach : InkReach
        Eye and greys of the print.
    """
    seen = seen_lpt(photo_lab)
    seen[..., 1:] += _greys_at(seen[..., 0], reach)
    return _printed(seen, reach)


def common_aim_lab(photo_lab: FloatArray, white_lab: FloatArray, black_lab: FloatArray,
                   adaptation: float) -> FloatArray:
    """Lab D50 that would look like the photograph, whatever the inks: to compare sets of them.

    Parameters
    ----------
    photo_lab : ndarray, shape (..., 3), float64
        Lab D50 of the photograph.
    white_lab, black_lab : ndarray, shape (3,), float64
        Lab D50 that its white and its black go to.
    adaptation : float
        How far the eye takes the white for white, 0 to 1.

    Notes
    -----
    Greys go from white to the eye's neutral by the square of lightness, all the way to black.
    """
    viewer = print_viewer(white_lab, black_lab, adaptation)
    seen = seen_lpt(photo_lab)
    tip = xyz_to_lpt(viewer.seen_xyz(white_lab))[1:]
    seen[..., 1:] += (seen[..., :1] / 100.0) ** 2 * tip
    return viewer.print_lab(lpt_to_xyz(seen))


def printable_lab(photo_lab: FloatArray, reach: InkReach, way: WayIn) -> FloatArray:
    """Lab D50 within reach of the inks for each of a photograph's colours.

    Parameters
    ----------
    photo_lab : ndarray, shape (..., 3), float64
        Lab D50 of the photograph, its white at (100, 0, 0).
    reach : InkReach
        What the inks can show.
    way : WayIn
        Where colours go that are out of reach.

    Returns
    -------
    ndarray, shape (..., 3), float64
        Lab D50. White becomes the lightest printable colour; hue about the greys stays.
    """
    seen = seen_lpt(np.asarray(photo_lab, np.float64).reshape(-1, 3))
    light, chroma = np.clip(seen[:, 0], 0.0, 100.0), np.hypot(seen[:, 1], seen[:, 2])
    hue = np.arctan2(seen[:, 2], seen[:, 1]) % (2.0 * np.pi)
    line = _Lines(light, chroma, hue, reach, way)
    share = 1.0 / line.surface()
    light, kept = line.at(_eased(share) / np.maximum(share, 1e-9))
    kept = np.where(chroma > 0.0, kept, 0.0)
    shown = np.column_stack([light, kept * np.cos(hue), kept * np.sin(hue)])
    shown[:, 1:] += _greys_at(light, reach)
    return _printed(shown, reach).reshape(np.shape(photo_lab))


def _printed(seen: FloatArray, reach: InkReach) -> FloatArray:
    """Lab of a print that is seen so; deep shadows go over to the darkest colour's own tint."""
    lab = reach.viewer.print_lab(lpt_to_xyz(seen))
    tint = reach.black_lab - reach.viewer.print_lab(np.zeros(3))
    share = np.clip(1.0 - seen[..., :1] / _DEEP, 0.0, 1.0)
    return np.asarray(lab + share * share * tint)


def _greys_at(light: FloatArray, reach: InkReach) -> FloatArray:
    return np.stack([np.interp(light, reach.levels, reach.greys[:, axis]) for axis in (0, 1)],
                    axis=-1)


def _eased(share: FloatArray) -> FloatArray:
    """Shares of the way to the surface, up to any size, as shares up to 1: straight, then bent.

    Notes
    -----
    Slope and value are continuous; 1 is met by what is endlessly far.
    """
    over = np.maximum(share - KNEE, 0.0) / (1.0 - KNEE)
    return np.where(share <= KNEE, share, KNEE + (1.0 - KNEE) * over / np.sqrt(1.0 + over * over))


class _Lines:
    """The way of each colour: 0 at the greys, 1 at the colour, and on."""

    def __init__(self, light: FloatArray, chroma: FloatArray, hue: FloatArray, reach: InkReach,
                 way: WayIn) -> None:
        cusp = np.interp(hue, reach.hues, reach.vivid_level) - way.lower
        strong = chroma**2 / (chroma**2 + way.pale**2)
        self._rise = np.maximum(light - np.maximum(cusp, 0.0), 0.0) * strong
        self._goal, self._chroma = light - self._rise, chroma
        place = hue / reach.hues[1]
        self._column = np.minimum(place.astype(np.intp), len(reach.hues) - 2)
        self._part = place - self._column
        self._reach, self._table = reach, reach.chroma.ravel()

    def at(self, share: FloatArray | float,
           rows: NDArray[np.intp] | slice = slice(None)) -> tuple[FloatArray, FloatArray]:
        """Lightness and chroma at a share of the way, of all colours or of some."""
        return self._goal[rows] + share * self._rise[rows], share * self._chroma[rows]

    def _is_out(self, share: FloatArray | float, rows: NDArray[np.intp]) -> NDArray[np.bool_]:
        light, chroma = self.at(share, rows)
        levels, hues = self._reach.levels, len(self._reach.hues)
        place = np.clip(light * (1.0 / levels[1]), 0.0, len(levels) - 1.0)
        row = np.minimum(place.astype(np.intp), len(levels) - 2)
        at, part, table = row * hues + self._column[rows], self._part[rows], self._table
        low, high = table[at], table[at + hues]
        low += part * (table[at + 1] - low)
        high += part * (table[at + hues + 1] - high)
        return np.asarray((chroma > low + (place - row) * (high - low)) | (light > 100.0))

    def surface(self) -> FloatArray:
        """Shares of the way at which the ways leave what is printable, above 0."""
        inside, outside = np.zeros_like(self._rise), np.full_like(self._rise, _FARTHEST)
        within = np.arange(len(self._rise))
        before = 0.0
        for share in _SHARES:
            leaves = self._is_out(share, within)
            inside[within], outside[within[leaves]] = before, share
            within, before = within[~leaves], share
        inside[within] = before
        found = np.flatnonzero(outside > inside)
        for _ in range(_HALVINGS):
            middle = 0.5 * (inside[found] + outside[found])
            out = self._is_out(middle, found)
            outside[found] = np.where(out, middle, outside[found])
            inside[found] = np.where(out, inside[found], middle)
        return np.maximum(0.5 * (inside + outside), 1e-6)
