"""Aims that do not turn back on the way from a vivid colour to white or to black.

Inks reach far in some lightnesses and little in others, and the wood's own tint comes back towards
white. Colours that are brought within reach one by one turn back where the photograph goes straight
on: the most vivid spot of a petal prints duller than what is about it. Here the aims of vivid
colours move, no further than that takes, until L*, a* and b* each go one way wherever the
photograph's do, as far as the inks let them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from separations.colour.hue_space import lpt_to_xyz, xyz_to_lpt
from separations.colour.ink_reach import InkReach

if TYPE_CHECKING:
    from separations.colour.course_kernel import Ways

FloatArray = NDArray[np.float64]

_NODES = 33
#: Ways begin at colours of at least this saturation, and at a value of a half and half of it (as
#: HSV has both): full colours are bright, dull ones darker, and pale ones are left alone: a pale
#: blue on yellow wood has to turn back. Own rule.
_LEAST_SATURATION = 0.2
#: The darkest colour's own tint (Lab units) from which ways to black end before it, and the value
#: at which they do: the greys themselves go over to that tint there.
_TINTED_BLACK, _SHADOWS = 3.0, 0.1
#: Places along a way: about one a node.
_PLACES = 33
#: How fast the cost of moving a colour falls with the distance between its channels (0 to 1):
#: few photographs have the fullest colours. Own rule, judged on photographs.
_VIVID_IS_CHEAP = 4.0
#: A photograph's coordinate that goes back by less has not turned (Lab units).
_LEAST_TURN = 0.3
#: Rounds of three passes. After each, aims are held within reach; in all but the last ones the
#: moves are evened out over neighbouring nodes, too.
_ROUNDS, _EVENED, _PASSES = 12, 9, 3
_EVEN_NODES = 0.5
#: What lightness costs beside chroma where a moved aim is out of reach. Own rule.
_LIGHT_COST = 0.2
#: Lightness (as seen) between which aims are held within reach.
_HELD_BETWEEN = (10.0, 99.9)
#: Steps of the table's levels to either side of the nearest in which a nearer one is sought.
_BETWEEN: FloatArray = np.linspace(-1.0, 1.0, 21)


def steadied(wanted_lab: FloatArray, photo_lab: FloatArray, reach: InkReach) -> FloatArray:
    """Aims that turn back little more than the photograph does.

    Parameters
    ----------
    wanted_lab : ndarray, shape (33, 33, 33, 3), float64
        Lab D50 aimed at, at every node of a lattice over the photograph's RGB.
    photo_lab : ndarray, shape (33, 33, 33, 3), float64
        The photograph's own Lab D50 there.
    reach : InkReach
        What the inks can show.

    Returns
    -------
    ndarray, shape (33, 33, 33, 3), float64
        Lab D50; greys stay.

    Notes
    -----
    On each way the nearest course that goes one way is found by pooling adjacent violators (Ayer,
    Brunk, Ewing, Reid and Silverman 1955); nodes move by the mean of what the ways through them
    ask, and so on.
    """
    from scipy.ndimage import gaussian_filter

    from separations.colour.course_kernel import choose_courses, pull_to_courses, way_room

    first = np.array(wanted_lab, np.float64, order="C").reshape(-1, 3)
    photo = np.ascontiguousarray(photo_lab, np.float64).reshape(-1, 3)
    spread = np.ptp(lattice_rgb(), axis=-1).ravel()
    weights = np.exp(-_VIVID_IS_CHEAP * spread)
    ways, room, held = _ways(reach), way_room(_PLACES), _Reaches(reach, first)
    courses = np.empty((len(ways.starts), _PLACES, 3), np.int8)
    aims, moved, touched = first.copy(), np.empty_like(first), np.empty(len(first))
    choose_courses(ways, photo, aims, weights, _LEAST_TURN, room, courses, touched)
    greys = (spread == 0.0)[:, None]
    share = np.where((touched > 0.0)[:, None] & ~greys, 1.0 / np.maximum(touched, 1e-9)[:, None], 0)
    for one in range(_ROUNDS):
        for _ in range(_PASSES):
            pull_to_courses(ways, courses, aims, weights, room, moved)
            aims += moved * share
        aims = held.nearest(aims)
        if one < _EVENED:
            moves = (aims - first).reshape(wanted_lab.shape)
            even = gaussian_filter(moves, (_EVEN_NODES,) * 3 + (0.0,), mode="nearest")
            aims = first + np.where(greys, 0.0, even.reshape(-1, 3))
    return np.where(greys, first, aims).reshape(wanted_lab.shape)


def lattice_rgb() -> FloatArray:
    """The lattice's colours in the photograph's own RGB (0 to 1); shape (33, 33, 33, 3)."""
    steps = np.linspace(0.0, 1.0, _NODES)
    return np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1)


def _ways(reach: InkReach) -> Ways:
    from separations.colour.course_kernel import Ways

    rgb = lattice_rgb().reshape(-1, 3)
    bright = rgb[rgb.max(axis=1) == 1.0]
    saturation = np.ptp(bright, axis=1)
    chosen = saturation >= _LEAST_SATURATION
    starts = bright[chosen] * (0.5 + 0.5 * saturation[chosen, None])
    tint = reach.black_lab - reach.viewer.print_lab(np.zeros(3))
    last = _SHADOWS if np.hypot(tint[1], tint[2]) > _TINTED_BLACK else 0.0
    shadows = starts * (last / starts.max(axis=1, keepdims=True))
    return Ways(np.concatenate([starts, starts]),
                np.concatenate([np.ones_like(starts), shadows]))


class _Seen(NamedTuple):
    """Colours as seen: lightness, chroma and hue about the greys, and how far beyond reach."""

    light: FloatArray
    chroma: FloatArray
    hue: FloatArray
    beyond: FloatArray


class _Reaches:
    """What inks reach, to lead colours back to it.

    Aims that lay out of the table's reach to begin with may go on doing so as far as they did.
    """

    def __init__(self, reach: InkReach, first: FloatArray) -> None:
        self._reach = reach
        self._table = np.ascontiguousarray(reach.chroma.T)
        self._beyond = np.zeros(len(first))
        self._beyond = np.maximum(self._seen(first).beyond, 0.0)

    def nearest(self, lab: FloatArray) -> FloatArray:
        """Lab (n, 3); what is out of reach is led to the nearest of its hue that is not."""
        seen, levels = self._seen(lab), self._reach.levels
        least, most = _HELD_BETWEEN
        out = np.flatnonzero((seen.beyond > 0.0) & (seen.light > least) & (seen.light < most))
        light, chroma, hue = (part[out, None] for part in (seen.light, seen.chroma, seen.hue))
        allowed = self._beyond[out, None]
        far = self._at(hue, np.arange(len(levels))[None].astype(np.float64)) + allowed
        best = _distance(levels, light, chroma, far).argmin(axis=1)
        # and between the levels about the nearest
        near = np.clip(best[:, None] + _BETWEEN, 0.0, len(levels) - 1.0)
        far = self._at(hue, near) + allowed
        best = _distance(near * levels[1], light, chroma, far).argmin(axis=1)
        row = np.arange(len(out))
        kept, lightness = np.minimum(chroma[:, 0], far[row, best]), near[row, best] * levels[1]
        shown = np.stack([lightness, kept * np.cos(hue[:, 0]), kept * np.sin(hue[:, 0])], axis=1)
        shown[:, 1:] += self._greys(lightness)
        within = lab.copy()
        within[out] = self._reach.viewer.print_lab(lpt_to_xyz(shown))
        return within

    def _seen(self, lab: FloatArray) -> _Seen:
        seen = xyz_to_lpt(self._reach.viewer.seen_xyz(lab))
        aside = seen[:, 1:] - self._greys(seen[:, 0])
        chroma = np.hypot(aside[:, 0], aside[:, 1])
        hue = np.arctan2(aside[:, 1], aside[:, 0]) % (2.0 * np.pi)
        level = np.clip(seen[:, 0], 0.0, 100.0) / self._reach.levels[1]
        return _Seen(light=seen[:, 0], chroma=chroma, hue=hue,
                     beyond=chroma - self._at(hue, level) - self._beyond)

    def _at(self, hue: FloatArray, level: FloatArray) -> FloatArray:
        """Greatest chroma at hues (radians) and between the table's levels."""
        place = hue / self._reach.hues[1]
        column = np.minimum(place.astype(np.intp), len(self._reach.hues) - 2)
        part = place - column
        low = np.minimum(level.astype(np.intp), self._table.shape[1] - 2)
        up = level - low
        table = self._table
        one = (1.0 - part) * table[column, low] + part * table[column + 1, low]
        other = (1.0 - part) * table[column, low + 1] + part * table[column + 1, low + 1]
        return np.asarray((1.0 - up) * one + up * other)

    def _greys(self, light: FloatArray) -> FloatArray:
        reach = self._reach
        return np.stack([np.interp(light, reach.levels, reach.greys[:, axis]) for axis in (0, 1)],
                        axis=-1)


def _distance(levels: FloatArray, light: FloatArray, chroma: FloatArray,
              reaches: FloatArray) -> FloatArray:
    """Squares of how far colours are from what is within reach on some levels."""
    return np.asarray(_LIGHT_COST * (levels - light) ** 2
                      + np.maximum(chroma - reaches, 0.0) ** 2)
