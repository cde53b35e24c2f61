"""The Yule-Nielsen factor by which readings are predicted best."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

#: Factors tried, in tenths: first these, then all between the neighbours of the best.
_TENTHS = (10, 15, 20, 25, 30, 35, 40)
_BETWEEN = 4


def best_n(score_at: Callable[[float], float]) -> float:
    """The factor (1 to 4) of the lowest score: by tenths, then by a parabola through three.

    Parameters
    ----------
    score_at : callable
        How badly readings come out with a factor.
    """
    scores = {tenths: score_at(tenths / 10) for tenths in _TENTHS}
    best = min(scores, key=lambda tenths: scores[tenths])
    scores |= {tenths: score_at(tenths / 10)
               for tenths in range(best - _BETWEEN, best + _BETWEEN + 1)
               if _TENTHS[0] <= tenths <= _TENTHS[-1] and tenths != best}
    best = min(scores, key=lambda tenths: scores[tenths])
    low, middle, high = (scores.get(best + step, np.inf) for step in (-1, 0, 1))
    bend = low - 2.0 * middle + high
    if not 0.0 < bend < np.inf:
        return best / 10
    return (best + float(np.clip(0.5 * (low - high) / bend, -0.5, 0.5))) / 10
