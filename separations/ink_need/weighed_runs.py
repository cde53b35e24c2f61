"""What weighed runs tell of the next one: a factor on the estimate, and a range that shrinks."""

from __future__ import annotations

import math
from collections.abc import Sequence

from separations.ink_need.ink_estimate import Range

#: Half of a normal distribution's middle 90 %, in deviations.
_NINETY = 1.645
#: How far one run's use lies from the next one's of the same estimate, as a standard deviation of
#: its logarithm; it counts as much as `_AS_MANY` differences between runs. Own rules, no source.
_RUN_TO_RUN, _AS_MANY = 0.15, 4
#: No estimate is taken for surer than this.
_LEAST = 0.05


def next_run(reckoned: Range, ratios: Sequence[float]) -> Range:
    """What the next run takes, by its estimate and by what earlier runs took of theirs.

    Parameters
    ----------
    reckoned : Range
        The estimate; its range is taken for the middle 90 %.
    ratios : sequence of float
        Of each weighed run, what it took over what was reckoned likely; above 0.

    Notes
    -----
    Logarithms of such ratios are taken as normal about an unknown factor, which the estimate says
    is 1 within its own range: the usual sum of precisions (normal prior, normal readings), their
    spread pooled with the one that is usual. The range holds the factor's own uncertainty, which
    falls with each run, and the spread from one run to the next, which does not.
    """
    if not ratios or reckoned.low <= 0:
        return reckoned
    logs = [math.log(ratio) for ratio in ratios]
    mean = sum(logs) / len(logs)
    apart = sum((value - mean) ** 2 for value in logs)
    spread = math.sqrt((_AS_MANY * _RUN_TO_RUN**2 + apart) / (_AS_MANY + len(logs) - 1))
    prior = max(math.log(reckoned.high / reckoned.low) / (2 * _NINETY), _LEAST)
    precision = 1 / prior**2 + len(logs) / spread**2
    middle = sum(logs) / spread**2 / precision
    off = _NINETY * math.sqrt(1 / precision + spread**2)
    return Range(low=reckoned.likely * math.exp(middle - off),
                 likely=reckoned.likely * math.exp(middle),
                 high=reckoned.likely * math.exp(middle + off))
