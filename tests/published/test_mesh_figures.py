"""Mesh geometry and theoretical ink volume against printed specifications.

NBC Meshtec, "Screen Specifications" (nt-jp.com): 90/225 with 40, 48 and 54 µm threads.
"Mesh Matters", screenweb.com, June 2009, p. 3 and 4: 120/305-40. M. Coudray, "All Things Are Not
as They Appear", screenweb.com, April 2003: per-inch labels. "How Much Ink Do You Need?",
screenweb.com, April 2000, Table 1 and Figure 1: wet ink height.
"""

from __future__ import annotations

import pytest

from preflight.press.mesh import Mesh
from preflight.units import mesh_count
from separations.ink_need.ink_estimate import wet_height_um


@pytest.mark.parametrize(("thread", "thickness", "opening", "open_percent", "volume"), [
    (40, 59, 73, 42, 25), (48, 72, 65, 33, 24), (54, 84, 59, 27, 23)])
def test_printed_rows_of_90_per_cm(
    thread: float, thickness: float, opening: float, open_percent: float, volume: float
) -> None:
    mesh = Mesh(threads_per_cm=mesh_count("225/in").threads_per_cm, thread_um=thread,
                measured_thickness_um=thickness)
    assert round(mesh.opening_um) == opening
    assert round(mesh.open_area * 100) == open_percent
    assert round(mesh.ink_volume_um) == pytest.approx(volume, abs=0.5)


@pytest.mark.parametrize(("count", "thread", "opening", "open_percent"), [
    (34, 100, 194.1, 43.6), (43, 80, 152.6, 43.0), (77, 48, 81.9, 39.7), (90, 48, 63.1, 32.3),
    (120, 34, 49.3, 35.0), (120, 40, 43.3, 27.0), (150, 31, 35.7, 28.6), (165, 31, 29.6, 23.9)])
def test_weave_geometry(count: float, thread: float, opening: float, open_percent: float) -> None:
    """Nominal values computed from the formula by hand (no published row)."""
    mesh = Mesh(threads_per_cm=count, thread_um=thread)
    assert mesh.opening_um == pytest.approx(opening, abs=0.05)
    assert mesh.open_area * 100 == pytest.approx(open_percent, abs=0.05)


def test_printed_open_area_of_305_lies_near_the_nominal() -> None:
    mesh = Mesh(threads_per_cm=120, thread_um=40, measured_thickness_um=63)
    assert 0.72 <= 0.25 / mesh.open_area <= 1.03


def test_thickness_stays_under_two_threads() -> None:
    for thread, printed in ((40, 59), (48, 72), (54, 84), (40, 63)):
        assert printed < 2 * thread
        guess = Mesh(threads_per_cm=100, thread_um=thread).thickness_um
        assert guess == pytest.approx(printed, rel=0.04)


def test_per_inch_labels() -> None:
    assert mesh_count("120/cm").threads_per_cm * 2.54 == pytest.approx(304.8)
    assert mesh_count("155/cm").threads_per_cm * 2.54 == pytest.approx(393.7)


def test_makers_figures_win() -> None:
    mesh = Mesh(threads_per_cm=190, thread_um=31, measured_opening_um=16,
                measured_thickness_um=55)
    assert mesh.ink_volume_um == pytest.approx(5.0, abs=0.1)
    assert Mesh(threads_per_cm=90, thread_um=48, measured_volume_um=19).ink_volume_um == 19


def test_wet_height_as_printed() -> None:
    assert wet_height_um(Mesh(threads_per_cm=39.37, thread_um=55)) == pytest.approx(61.76, rel=0.01)
    assert wet_height_um(Mesh(threads_per_cm=120, thread_um=34, measured_thickness_um=50)) == \
        pytest.approx(14.25)
