"""Overprints estimated from solids alone, against measured overprints.

Sources: characterisation data FOGRA39L, FOGRA40L, FOGRA28L, TR 003, TR 005 and TR 006 (coated or
calendered paper) and FOGRA29L, TR 002 (uncoated, newsprint), as installed by Debian's
icc-profiles-free. The layering constants were fitted to FOGRA40L, FOGRA28L, TR 003 and TR 005;
the others gave no number to them, but the form of the rule was chosen with all in view. The limits
were set after the results were known, with a margin.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from separations.colour.colorimetry import colour_difference, xyz_to_lab
from separations.colour.layering import InkFilm, layered_primaries
from separations.colour.model_fit import fit_print_model

Reader = Callable[[str], Any]
#: Black is printed first; the index's bits follow that order.
ORDER = (3, 0, 1, 2)
OVERPRINTS = [index for index in range(16) if index.bit_count() > 1]
#: Cyan + magenta, cyan + yellow, magenta + yellow, all three.
FOUR = (0b0110, 0b1010, 0b1100, 0b1110)


def in_print_order(primaries: NDArray[np.float64]) -> NDArray[np.float64]:
    moved = [sum((index >> place & 1) << ink for place, ink in enumerate(ORDER))
             for index in range(16)]
    return primaries[moved]


def estimated(xyz: NDArray[np.float64], given: tuple[int, ...]) -> NDArray[np.float64]:
    films = [InkFilm(over_white_xyz=xyz[1 << ink], white_xyz=xyz[0], over_black_xyz=np.zeros(3))
             for ink in range(4)]
    known = {index: xyz[index] for index in (1, 2, 4, 8, *given)}
    return layered_primaries(xyz[0], films, measured_xyz=known)


@pytest.mark.parametrize(("name", "mean", "worst"), [
    ("FOGRA39L", 4.0, 8.5), ("TR006", 4.0, 9.0), ("FOGRA40L", 4.0, 7.5), ("FOGRA28L", 4.5, 8.0),
    ("TR003", 4.0, 7.0), ("TR005", 4.0, 7.0), ("FOGRA29L", 9.0, 14.0), ("TR002", 6.0, 10.0)])
def test_from_solids(printed_patches: Reader, name: str, mean: float, worst: float) -> None:
    xyz = in_print_order(printed_patches(name).primaries())
    errors = colour_difference(xyz_to_lab(estimated(xyz, ()))[OVERPRINTS],
                               xyz_to_lab(xyz)[OVERPRINTS])
    assert errors.mean() <= mean
    assert errors.max() <= worst


@pytest.mark.parametrize("name", ["FOGRA39L", "TR006", "FOGRA40L", "FOGRA28L", "TR003", "TR005"])
def test_four_of_eleven_given(printed_patches: Reader, name: str) -> None:
    xyz = in_print_order(printed_patches(name).primaries())
    rest = [index for index in OVERPRINTS if index not in FOUR]
    errors = colour_difference(xyz_to_lab(estimated(xyz, FOUR))[rest], xyz_to_lab(xyz)[rest])
    assert errors.mean() <= 4.5


def test_estimates_are_flagged(printed_patches: Reader) -> None:
    patches = printed_patches("FOGRA39L")
    solid = np.isin(patches.tones, (0.0, 1.0)).all(axis=1) & (patches.tones.sum(axis=1) <= 1)
    model = fit_print_model(patches.tones[solid], patches.xyz[solid],
                            ink_names=("c", "m", "y", "k"))
    assert [index for index in range(16) if model.measured[index]] == [0, 1, 2, 4, 8]
