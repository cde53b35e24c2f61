"""Aims that do not turn back on the way from a vivid colour to white or to black.

Inks reach far in some lightnesses and little in others, and the wood's own tint comes back towards
white. Colours that are brought within reach one by one turn back where the photograph goes straight
on: the most vivid spot of a petal prints duller than what is about it. Here the aims of vivid
colours move, no further than that takes, until L*, a* and b* each go one way wherever the
photograph's do, as far as the inks let them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from separations.colour.hue_space import lpt_to_xyz, xyz_to_lpt
from separations.colour.ink_reach import InkReach

if TYPE_CHECKING:
    from separations.colour.course_kernel import Ways

FloatArray = NDArray[np.float64]

_NODES = 33
#: Where ways begin, as HSV has it: the channel that all end at, the least saturation, the value at
#: no saturation and what saturation adds to it, and whether every other colour will do. Full
#: colours are bright, dull ones darker: a pale blue on yellow wood must turn back. Own rule.
_BEGINNINGS = ((1.0, 0.2, 0.5, 0.5, False), (0.0, 0.2, 0.5, 0.5, False),
               (1.0, 0.3, 0.4, 0.4, True), (0.0, 0.3, 0.65, 0.35, True))
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
    ways, room, held = _ways(), way_room(_PLACES), _Reaches(reach)
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


def _ways() -> Ways:
    from separations.colour.course_kernel import Ways

    rgb = lattice_rgb().reshape(-1, 3)
    bright = rgb[rgb.max(axis=1) == 1.0]
    saturation = np.ptp(bright, axis=1)
    odd = np.rint(bright.sum(axis=1) * (_NODES - 1)) % 2 == 1
    starts: list[FloatArray] = []
    ends: list[FloatArray] = []
    for end, least, value, gain, every_other in _BEGINNINGS:
        chosen = saturation >= least
        if every_other:
            chosen &= odd
        starts.append(bright[chosen] * (value + gain * saturation[chosen, None]))
        ends.append(np.full(int(chosen.sum()), end))
    return Ways(np.concatenate(starts), np.concatenate(ends))


class _Reaches:
    """What inks reach, to lead colours back to it."""

    def __init__(self, reach: InkReach) -> None:
        self._reach = reach
        self._table = np.ascontiguousarray(reach.chroma.T)

    def nearest(self, lab: FloatArray) -> FloatArray:
        """Lab (n, 3); what is out of reach is led to the nearest of its hue that is not."""
        reach, levels = self._reach, self._reach.levels
        seen = xyz_to_lpt(reach.viewer.seen_xyz(lab))
        light, aside = seen[:, 0], seen[:, 1:] - self._greys(seen[:, 0])
        chroma = np.hypot(aside[:, 0], aside[:, 1])
        hue = np.arctan2(aside[:, 1], aside[:, 0]) % (2.0 * np.pi)
        place = hue / reach.hues[1]
        column = np.minimum(place.astype(np.intp), len(reach.hues) - 2)
        part = place - column
        least, most = _HELD_BETWEEN
        held = np.flatnonzero((light > least) & (light < most))
        level = light[held] / levels[1]
        own = self._at(column[held], part[held], level)
        out = held[chroma[held] > own]
        light, chroma, hue, part = light[out], chroma[out], hue[out], part[out]
        column = column[out]
        far = (1.0 - part[:, None]) * self._table[column] + part[:, None] * self._table[column + 1]
        best = _distance(levels, light[:, None], chroma[:, None], far).argmin(axis=1)
        # and between the levels about the nearest
        near = np.clip(best[:, None] + _BETWEEN, 0.0, len(levels) - 1.0)
        far = self._at(column[:, None], part[:, None], near)
        lighter = near * levels[1]
        row = np.arange(len(out))
        best = _distance(lighter, light[:, None], chroma[:, None], far).argmin(axis=1)
        kept = np.minimum(chroma, far[row, best])
        shown = np.column_stack([lighter[row, best], kept * np.cos(hue), kept * np.sin(hue)])
        shown[:, 1:] += self._greys(shown[:, 0])
        within = lab.copy()
        within[out] = reach.viewer.print_lab(lpt_to_xyz(shown))
        return within

    def _at(self, column: NDArray[np.intp], part: FloatArray, level: FloatArray) -> FloatArray:
        """Greatest chroma between the table's hues and levels."""
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
