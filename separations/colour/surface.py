"""What a surface does to light on its way into a print and out again."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

#: Share of light that a clear resin (refractive index 1.5) sends back before it enters, by
#: Fresnel at right angles, ((n - 1) / (n + 1))^2.
RESIN_K1 = 0.04
#: Share of diffuse light within it that its surface sends back inwards. Source: Fresnel summed
#: over all directions for n = 1.5; Saunderson 1942 has 0.6.
RESIN_K2 = 0.596


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """The top of a print.

    Attributes
    ----------
    k1, k2 : float
        Shares (0 to below 1) of light that the surface sends back from outside, and of diffuse
        light from within.
    caught : float
        Share (0 to 1) of the first that is seen: nothing of a mirror that is looked at beside the
        lamp's image, all of what is sent every way.
    """

    k1: float
    k2: float
    caught: float

    @property
    def light(self) -> float:
        """What is seen of the light that never enters, over that of a perfect white."""
        return self.caught * self.k1


def through_surface(beneath: ArrayLike, surface: Surface) -> FloatArray:
    """Reflectance as seen through a surface, from that beneath it (0 to 1, any shape).

    Notes
    -----
    Source: Saunderson 1942, R = a k1 + (1 - k1) (1 - k2) r / (1 - k2 r); ``a``, the share of the
    surface's light that is caught, is 1 there and 0 where an instrument keeps it out.
    """
    inner = np.asarray(beneath, np.float64)
    return np.asarray(surface.light + (1.0 - surface.k1) * (1.0 - surface.k2) * inner
                      / (1.0 - surface.k2 * inner))


def beneath_surface(seen: ArrayLike, surface: Surface) -> FloatArray:
    """Reflectance beneath a surface, from that seen through it (0 to 1); never below 0.

    Notes
    -----
    Source: Saunderson 1942, as in `through_surface`, solved for r.
    """
    entered = np.maximum(np.asarray(seen, np.float64) - surface.light, 0.0)
    return np.asarray(entered / ((1.0 - surface.k1) * (1.0 - surface.k2) + surface.k2 * entered))
