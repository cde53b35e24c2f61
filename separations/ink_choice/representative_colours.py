"""A picture as a few hundred colours with the share of the picture that each stands for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

_ROUNDS = 4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WeightedColours:
    """Colours and their shares.

    Attributes
    ----------
    lab : ndarray, shape (N, 3), float64
        Lab D50.
    shares : ndarray, shape (N,), float64
        Share of the picture, adding up to 1.
    """

    lab: FloatArray
    shares: FloatArray


def representative_colours(colours: WeightedColours, count: int) -> WeightedColours:
    """The given colours drawn together to at most ``count``.

    Parameters
    ----------
    colours : WeightedColours
        Any number of colours.
    count : int
        Most that are wanted, at least 1.

    Returns
    -------
    WeightedColours
        Each is the mean of those that it stands for.

    Notes
    -----
    The group with the greatest squared spread is cut across its longest axis at its mean, over
    and over; then each colour goes to its nearest mean, a few rounds (Lloyd). No chance in it.
    """
    lab, shares = colours.lab, colours.shares
    if len(lab) <= count:
        return colours
    groups = [np.arange(len(lab))]
    spreads = [_spread(lab, shares)]
    while len(groups) < count:
        widest = int(np.argmax(spreads))
        if spreads[widest] <= 0.0:
            break
        spreads[widest] = 0.0
        members = groups[widest]
        high = _beyond_mean(lab[members], shares[members])
        if high.any() and not high.all():
            groups[widest], apart = members[~high], members[high]
            groups.append(apart)
            spreads[widest] = _spread(lab[groups[widest]], shares[groups[widest]])
            spreads.append(_spread(lab[apart], shares[apart]))
    owner = np.empty(len(lab), np.intp)
    for number, members in enumerate(groups):
        owner[members] = number
    return _settled(colours, owner)


def nearest_rows(colours: WeightedColours, count: int) -> tuple[NDArray[np.intp], FloatArray]:
    """A few of the colours that stand for all: their rows (at most ``count``) and shares."""
    from scipy.spatial import cKDTree

    few = representative_colours(colours, count)
    rows = np.unique(np.asarray(cKDTree(colours.lab).query(few.lab)[1], np.intp))
    owner = np.asarray(cKDTree(colours.lab[rows]).query(colours.lab)[1], np.intp)
    return rows, np.bincount(owner, colours.shares, minlength=len(rows)).astype(np.float64)


def _settled(colours: WeightedColours, owner: NDArray[np.intp]) -> WeightedColours:
    from scipy.spatial import cKDTree

    means, total = _means(colours, owner)
    for _ in range(_ROUNDS):
        owner = np.asarray(cKDTree(means).query(colours.lab)[1], np.intp)
        means, total = _means(colours, owner)
    return WeightedColours(lab=means, shares=total / total.sum())


def _means(colours: WeightedColours, owner: NDArray[np.intp]) -> tuple[FloatArray, FloatArray]:
    total = np.bincount(owner, colours.shares).astype(np.float64)
    sums = [np.bincount(owner, colours.shares * colours.lab[:, axis]) for axis in range(3)]
    there = total > 0.0
    return np.stack(sums, axis=1)[there] / total[there, None], total[there]


def _spread(lab: FloatArray, shares: FloatArray) -> float:
    mean = np.average(lab, axis=0, weights=shares)
    return float(shares @ np.sum((lab - mean) ** 2, axis=1))


def _beyond_mean(lab: FloatArray, shares: FloatArray) -> NDArray[np.bool_]:
    apart = lab - np.average(lab, axis=0, weights=shares)
    longest = np.linalg.eigh((apart * shares[:, None]).T @ apart)[1][:, -1]
    return np.asarray(apart @ longest > 0.0)
