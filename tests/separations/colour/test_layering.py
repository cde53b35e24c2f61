"""Overprints that nobody has measured."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from separations.colour.colorimetry import D50_XYZ, lab_to_xyz, xyz_to_lab
from separations.colour.layering import InkFilm, layered_primaries, surface_reflection

PAPER = lab_to_xyz([95.0, 0.0, -2.0])
WOOD = lab_to_xyz([74.0, 6.0, 26.0])


def film(lab: tuple[float, float, float], opacity: float = 0.0, thickness: float = 1.0) -> InkFilm:
    solid = lab_to_xyz(lab)
    return InkFilm(over_white_xyz=solid, white_xyz=PAPER, over_black_xyz=opacity * solid,
                   thickness=thickness)


CYAN, YELLOW, BLACK = film((55, -37, -50)), film((89, -5, 93)), film((16, 0, 0))
WHITE = film((93, 0, 0), opacity=0.8)


def lights(*inks: InkFilm, on: NDArray[np.float64] = WOOD) -> NDArray[np.float64]:
    return layered_primaries(on, list(inks))[:, 1]


def test_solids_come_back_on_their_own_white() -> None:
    labs = xyz_to_lab(layered_primaries(PAPER, [CYAN, YELLOW, BLACK]))
    assert labs[[1, 2, 4]] == pytest.approx(
        np.array([[55, -37, -50], [89, -5, 93], [16, 0, 0]], float), abs=1e-6)


def test_clear_inks_only_darken() -> None:
    light = lights(CYAN, YELLOW, BLACK)
    for index in range(8):
        for ink in range(3):
            if not index >> ink & 1:
                assert light[index | 1 << ink] < light[index]


def test_white_lightens_wood_and_more_so_when_thicker() -> None:
    thin, full, thick = (lights(film((93, 0, 0), 0.8, t))[1] for t in (0.5, 1.0, 2.0))
    assert WOOD[1] < thin < full < thick < 0.95


def test_thicker_clear_ink_is_darker() -> None:
    assert lights(film((55, -37, -50), 0.0, 1.5))[1] < lights(CYAN)[1]


def test_order_matters_for_opaque_ink_only() -> None:
    under, over = lights(WHITE, BLACK)[3], lights(BLACK, WHITE)[3]
    assert over > 3.0 * under
    assert lights(CYAN, YELLOW)[3] == pytest.approx(lights(YELLOW, CYAN)[3], rel=0.25)


def test_ink_on_white_shows_the_ink_not_the_wood() -> None:
    labs = xyz_to_lab(layered_primaries(WOOD, [WHITE, CYAN]))
    assert labs[3, 2] < labs[2, 2] - 10.0
    assert labs[3, 0] > labs[2, 0] + 5.0


def test_a_measured_overprint_stands_and_carries_what_is_on_it() -> None:
    given = {3: 0.5 * D50_XYZ}
    found = layered_primaries(WOOD, [CYAN, YELLOW, BLACK], measured_xyz=given)
    free = layered_primaries(WOOD, [CYAN, YELLOW, BLACK])
    assert np.array_equal(found[3], given[3])
    assert found[7, 1] > free[7, 1]


def test_a_group_moves_as_one_film() -> None:
    green = film((50, -65, 27))
    found = layered_primaries(PAPER, [CYAN, YELLOW], joint_films={3: green})
    assert xyz_to_lab(found[3]) == pytest.approx(np.array([50.0, -65.0, 27.0]), abs=1e-6)


def test_surface_is_a_part_of_the_darkest_solid() -> None:
    assert 0.0 < surface_reflection([BLACK, CYAN]) < lab_to_xyz([16, 0, 0])[1]
    assert surface_reflection([WHITE]) <= 0.03


def test_how_much_an_ink_hides_decides_how_much_of_the_next_acts() -> None:
    """Greys by hand after Kubelka 1948: an ink that hides R0 / (R0 + T² / (1 − R0)) of a white."""
    grey = np.asarray(D50_XYZ) / D50_XYZ[1]
    lower = InkFilm(over_white_xyz=0.3 * grey, white_xyz=0.9 * grey, over_black_xyz=0.1 * grey)
    upper = InkFilm(over_white_xyz=0.5 * grey, white_xyz=0.9 * grey, over_black_xyz=0.0 * grey)
    light = layered_primaries(0.7 * grey, [lower, upper], surface=0.0, ink_on_ink=0.0)[:, 1]
    through = (0.3 - 0.1) * (1 - 0.1 * 0.9) / 0.9  # squared
    printed = 0.1 + through * 0.7 / (1 - 0.1 * 0.7)
    hidden = 0.1 / (0.1 + through / (1 - 0.1))
    assert light[1] == pytest.approx(printed, rel=1e-3)
    assert light[3] == pytest.approx(printed * (0.5 / 0.9) ** hidden, rel=2e-3)
