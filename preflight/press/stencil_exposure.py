"""How long a stencil is exposed, from what a step scale on it showed."""

from __future__ import annotations

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
EXPOSURE_SOURCE = ("21-step scale, half a stop (density 0.15) a step, capefearpress.com; at least "
                   "a solid step 7, ulano.com/exposure")


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
