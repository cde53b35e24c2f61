"""Courses that go one way: what moves, what stays, and the pooling against a reference library."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import isotonic_regression

from separations.colour.course_kernel import Ways, choose_courses, pull_to_courses, way_room
from separations.colour.gamut_mapping import WayIn, printable_lab
from separations.colour.ink_colours import print_model, process_ink
from separations.colour.ink_reach import InkReach, ink_reach
from separations.colour.inversion import end_colours, seed_tones
from separations.colour.steady_courses import lattice_rgb, steadied
from tests.colour_samples import BAMBOO_LAB, PROCESS_INK_NAMES, srgb_to_lab

Array = NDArray[np.float64]
NODES = 33**3


@cache
def reach_of(inks: int) -> InkReach:
    model = print_model(BAMBOO_LAB, [process_ink(name) for name in PROCESS_INK_NAMES[:inks]])
    return ink_reach(model, 2.6, end_colours(seed_tones(model, 2.6)), 0.5)


@cache
def before_and_after(inks: int) -> tuple[Array, Array]:
    photo = srgb_to_lab(lattice_rgb())
    wanted = printable_lab(photo, reach_of(inks), WayIn(pale=25.0, lower=0.0))
    return wanted, steadied(wanted, photo, reach_of(inks))


def test_greys_stay_and_the_pale_hardly_move() -> None:
    wanted, steady = before_and_after(4)
    line = np.arange(33)
    assert np.array_equal(steady[line, line, line], wanted[line, line, line])
    pale = np.ptp(lattice_rgb(), axis=-1) <= 0.1
    moved = np.linalg.norm(steady - wanted, axis=-1)
    assert moved[pale].mean() <= 0.3
    assert 0.3 <= moved.mean() <= 1.6


def test_full_hues_turn_back_far_less_towards_black() -> None:
    wanted, steady = (each[::-1, ::-1, 0] for each in before_and_after(4))
    line = np.arange(33)
    # yellow to black: red and green fall together, blue is nought
    for way, most, least in ((wanted, 99.0, 10.0), (steady, 2.0, 0.0)):
        b = way[line, line, 2]
        turned = min((np.maximum.accumulate(b) - b).max(), (b - np.minimum.accumulate(b)).max())
        assert least <= turned <= most


def test_inks_whose_black_has_a_tint_leave_near_greys_alone() -> None:
    """Cyan, magenta and yellow alone end in a purple black; dark greys must not follow."""
    wanted, steady = before_and_after(3)
    dark = np.linalg.norm(steady[2:6, 2:6, 2:6] - wanted[2:6, 2:6, 2:6], axis=-1)
    assert dark.max() <= 2.5


def test_what_ways_ask_is_isotonic_regression() -> None:
    """Against scipy.optimize.isotonic_regression, along a way on the lattice's own nodes."""
    rng = np.random.default_rng(3)
    aims, weights = rng.normal(0.0, 10.0, (NODES, 3)), rng.uniform(0.2, 2.0, NODES)
    photo = np.repeat(np.linspace(0.0, 100.0, NODES)[:, None], 3, axis=1)
    ways = Ways(np.array([[1.0, 0.0, 0.0]]), np.array([[1.0, 1.0, 0.0]]))
    room, courses = way_room(33), np.empty((1, 33, 3), np.int8)
    touched, moved = np.empty(NODES), np.empty((NODES, 3))
    choose_courses(ways, photo, aims, weights, 0.3, room, courses, touched)
    pull_to_courses(ways, courses, aims, weights, room, moved)
    along = 32 * 33 * 33 + 33 * np.arange(33)
    assert np.flatnonzero(touched).tolist() == along.tolist()
    assert touched[along] == pytest.approx(np.ones(33))
    for axis in range(3):
        own = aims[along, axis]
        fits = [isotonic_regression(own, weights=weights[along], increasing=up).x
                for up in (True, False)]
        nearest = min(fits, key=lambda fit: float(np.sum(weights[along] * (fit - own) ** 2)))
        assert own + moved[along, axis] == pytest.approx(nearest, abs=1e-9)


def test_a_course_ends_where_the_photograph_turns() -> None:
    photo, along = np.zeros((NODES, 3)), 32 * 33 * 33 + 33 * np.arange(33)
    photo[along] = np.abs(np.arange(33) - 12.0)[:, None]
    ways = Ways(np.array([[1.0, 0.0, 0.0]]), np.array([[1.0, 1.0, 0.0]]))
    courses = np.empty((1, 33, 3), np.int8)
    choose_courses(ways, photo, photo, np.ones(NODES), 0.3, way_room(33), courses, np.empty(NODES))
    assert courses[0, :, 0].tolist() == [-1] * 13 + [2] * 20
