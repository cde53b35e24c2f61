"""How long a stencil is exposed, from what a step scale on it showed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

#: Density from one step of a 21-step transmission scale to the next: half a stop. Source:
#: "How to Use the … 21 Wedge", capefearpress.com (21 steps, increment 0.15, half an f-stop).
STEP_DENSITY = 0.15
#: The last step that must stay solid on a direct stencil. Source: "How do I test exposure",
#: ulano.com/exposure (at least a solid step 7).
WANTED_STEP = 7
#: Steps of the scale.
STEPS = 21
#: How far a reading of the last solid step may be off. Own rule, no source: it falls between two.
_READING_STEPS = 0.5
EXPOSURE_SOURCE = ("Aim for a solid step 7 or higher (ulano.com/exposure) of a 21-step scale, "
                   "half a stop or density 0.15 a step (capefearpress.com)")


@dataclass(frozen=True, slots=True, kw_only=True)
class ExposureTime:
    """Seconds to expose: what the reading tells, and the least and most that it may mean."""

    low_s: float
    best_s: float
    high_s: float


def step_factor(from_step: float, to_step: float) -> float:
    """By how much longer a stencil is exposed that is to hold another step.

    Notes
    -----
    Each step lets through 10^−0.15 of the light of the one before (geometry of densities), so
    that a step further takes 1.41 times the light, and two steps twice.
    """
    return float(10 ** (STEP_DENSITY * (to_step - from_step)))


def exposure_time(exposed_s: float, solid_step: int) -> ExposureTime:
    """The time that makes step 7 the last solid one.

    Parameters
    ----------
    exposed_s : float
        How long the stencil that was read had been exposed (s).
    solid_step : int
        The last step that stayed solid, 1 to 21.
    """
    low, best, high = (exposed_s * step_factor(solid_step + off, WANTED_STEP)
                       for off in (_READING_STEPS, 0.0, -_READING_STEPS))
    return ExposureTime(low_s=low, best_s=best, high_s=high)


def step_times(best_s: float, fields: int) -> tuple[float, ...]:
    """Times (s) for fields exposed in steps half a stop apart, the middle one ``best_s``."""
    middle = (fields - 1) // 2
    return tuple(best_s * step_factor(0, number - middle) for number in range(fields))


@dataclass(frozen=True, slots=True, kw_only=True)
class ExposedRow:
    """One exposure of a stencil, and what was seen of it when it was washed out.

    Attributes
    ----------
    seconds : float
        How long it was exposed.
    solid_holds : bool
        Whether its solid held in the mesh without a change.
    smallest_dot : float or None
        The smallest film tone (0 to 1) whose dots were open in it; None where nobody looked.
    solid_step : int or None
        The last solid step of a 21-step scale on it; None where there was none.
    """

    seconds: float
    solid_holds: bool
    smallest_dot: float | None = None
    solid_step: int | None = None


def exposure_of_rows(rows: Sequence[ExposedRow]) -> ExposureTime:
    """The time that rows of stepped exposures tell.

    Parameters
    ----------
    rows : sequence of ExposedRow
        Shortest first; from the first whose solid holds on, all must hold.

    Raises
    ------
    ValueError
        When no solid holds, or one holds and a longer exposed one does not.

    Notes
    -----
    Published practice for a factor strip: the least exposure at which nothing changes any more is
    the right one, and more of it costs fine detail ("Using the … Exposure Calculator, Part II",
    macdermidconnect.com, 2019). So the best time is the first row whose solid holds; it may be less
    by half the way to the row before, and more as long as no small dots close. Where steps of a
    21-step scale were read, the time for a solid step 7 is taken instead, unless the solid itself
    needs longer; its range is half a step, less by the root of the number of rows, or what the
    rows differ by, whichever is more. Own rules, no source: these ranges.
    """
    holds = [row.solid_holds for row in rows]
    if True not in holds:
        raise ValueError("no solid holds")
    first = holds.index(True)
    if not all(holds[first:]):
        raise ValueError("a solid that holds beside a longer-exposed one that does not")
    least = rows[first]
    read = [row.seconds * step_factor(row.solid_step, WANTED_STEP) for row in rows
            if row.solid_step is not None]
    if read:
        logs = [math.log10(seconds) / STEP_DENSITY for seconds in read]
        middle = sum(logs) / len(logs)
        off = max(_READING_STEPS / math.sqrt(len(logs)), (max(logs) - min(logs)) / 2)
        low, best, high = (10 ** (STEP_DENSITY * (middle + by)) for by in (-off, 0.0, off))
        if best >= least.seconds:
            return ExposureTime(low_s=low, best_s=best, high_s=high)
    half = step_factor(0, _READING_STEPS)
    low = math.sqrt(rows[first - 1].seconds * least.seconds) if first else least.seconds / half
    high = least.seconds * half
    if least.smallest_dot is not None:
        for row in rows[first:]:
            if row.smallest_dot is None or row.smallest_dot > least.smallest_dot:
                break
            high = max(high, row.seconds)
    return ExposureTime(low_s=low, best_s=least.seconds, high_s=high)
