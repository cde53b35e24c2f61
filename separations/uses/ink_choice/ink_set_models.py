"""Print models of many sets from one stock of inks, each as the separation would build it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cache

import numpy as np

from separations.colour.colorimetry import lab_to_xyz, xyz_to_lab
from separations.colour.ink_colours import InkColour, print_model
from separations.colour.layering import surface_reflection
from separations.colour.print_model import PrintModel
from separations.colour.tone_curve import ToneCurve

Lab = tuple[float, float, float]

#: From this contrast ratio an ink is printed as an opaque one. Own rule.
OPAQUE_FROM = 0.4


def print_order(inks: Sequence[InkColour]) -> tuple[int, ...]:
    """The order in which a set from these inks is printed: opaque ones first, then light to dark.

    Returns
    -------
    tuple of int
        Places in ``inks``, first printed first.

    Notes
    -----
    An opaque ink hides what lies beneath it, so it goes down before the clear ones; of two alike
    the lighter solid (L* on its white) first. Common practice, no source.
    """
    def rank(place: int) -> tuple[bool, float, int]:
        film = inks[place].film()
        hides = float(film.over_black_xyz[1] / max(film.over_white_xyz[1], 1e-6)) >= OPAQUE_FROM
        return not hides, -inks[place].lab[0], place

    return tuple(sorted(range(len(inks)), key=rank))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SetModels:
    """A wood and a stock of inks in print order.

    Attributes
    ----------
    wood_lab : tuple of three float
        CIELAB D50 of the bare wood.
    inks : tuple of InkColour
        The stock, first printed first, names all different.
    curve : ToneCurve
        Film tone to printed tone, the same for every ink.
    absorbent : bool
        Whether the wood drinks.
    """

    wood_lab: Lab
    inks: tuple[InkColour, ...]
    curve: ToneCurve
    absorbent: bool = False
    _models: dict[tuple[int, ...], PrintModel] = field(default_factory=dict, init=False,
                                                       repr=False)

    def model(self, places: tuple[int, ...]) -> PrintModel:
        """The print model of the inks at these places (rising, at most eight of them)."""
        if places not in self._models:
            self._models[places] = print_model(
                self.wood_lab, [self.inks[place] for place in places],
                tone_curves=[self.curve] * len(places), absorbent=self.absorbent)
        return self._models[places]

    def model_within(self, places: tuple[int, ...], union: tuple[int, ...]) -> PrintModel:
        """The same, taken out of a larger set's model where that holds the very same figures.

        An overprint depends on the inks in it and on the light off the top surface, and that is
        judged from the darkest solid of a set: where both sets share it, nothing is laid anew.
        """
        if places in self._models or self._surface(places) != self._surface(union):
            return self.model(places)
        whole = self.model(union)
        at = [union.index(place) for place in places]
        rows = np.array([sum(1 << bit for number, bit in enumerate(at) if index >> number & 1)
                         for index in range(1 << len(at))], np.intp)
        return replace(whole, ink_names=tuple(whole.ink_names[bit] for bit in at),
                       primaries_rgb=whole.primaries_rgb[rows], measured=whole.measured[rows],
                       curves=np.ascontiguousarray(whole.curves[at]))

    def on_lighter_wood(self, times: float) -> SetModels:
        """The same inks on wood that reflects so many times as much."""
        lab = xyz_to_lab(lab_to_xyz(self.wood_lab) * times)
        return SetModels(wood_lab=(float(lab[0]), float(lab[1]), float(lab[2])), inks=self.inks,
                         curve=self.curve, absorbent=self.absorbent)

    def _surface(self, places: tuple[int, ...]) -> float:
        return min(_own_surface(self.inks[place]) for place in places)


@cache
def _own_surface(ink: InkColour) -> float:
    return surface_reflection([ink.film()])
