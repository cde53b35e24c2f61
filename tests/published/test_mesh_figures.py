"""Mesh geometry and theoretical ink volume against printed specifications.

NBC Meshtec, "Screen Specifications" (nt-jp.com): 90/225 with 40, 48 and 54 µm threads.
"Mesh Matters", screenweb.com, June 2009, p. 3 and 4: 120/305-40. M. Coudray, "All Things Are Not
as They Appear", screenweb.com, April 2003: per-inch labels. "How Much Ink Do You Need?",
screenweb.com, April 2000, Table 1 and Figure 1: wet ink height.
"""

from __future__ import annotations

import numpy as np
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
    """By hand from weave geometry, (1e4 / n - d) and its share of the pitch squared."""
    mesh = Mesh(threads_per_cm=count, thread_um=thread)
    assert mesh.opening_um == pytest.approx(opening, abs=0.05)
    assert mesh.open_area * 100 == pytest.approx(open_percent, abs=0.05)


def test_printed_open_area_of_305_lies_near_the_nominal() -> None:
    mesh = Mesh(threads_per_cm=120, thread_um=40, measured_thickness_um=63)
    assert 0.72 <= 0.25 / mesh.open_area <= 1.03


def test_thickness_where_the_maker_tells_none_is_the_mean_of_the_printed_ones() -> None:
    printed = ((40, 59), (48, 72), (54, 84), (40, 63))
    mean = sum(thickness / thread for thread, thickness in printed) / len(printed)
    assert mean == pytest.approx(1.5265, abs=1e-3)
    assert Mesh(threads_per_cm=100, thread_um=40).thickness_um == pytest.approx(
        40 * mean, rel=0.006)


@pytest.mark.parametrize(("count", "thread"), [(120, 34), (43, 80), (90, 48)])
def test_wherever_a_smallest_dot_falls_a_whole_thread_lies_beneath_it(
        count: float, thread: float) -> None:
    """The rule in memory of one pitch, by counting: a narrower dot may meet less than a thread."""
    mesh = Mesh(threads_per_cm=count, thread_um=thread)

    def least_carried(width_um: float) -> float:
        steps = np.arange(0.0, mesh.pitch_um, mesh.pitch_um / 400)
        across = np.linspace(0.0, width_um, 2001)
        return min(float(np.mean((start + across) % mesh.pitch_um < thread)) * width_um
                   for start in steps)

    assert least_carried(mesh.smallest_dot_um) == pytest.approx(thread, rel=0.02)
    assert least_carried(0.95 * mesh.smallest_dot_um) < 0.97 * thread


def test_the_finest_line_is_the_stricter_end_of_what_is_told() -> None:
    """From memory, unverified: lines of 2 to 3 thread diameters print without sawteeth."""
    assert Mesh(threads_per_cm=120, thread_um=34).finest_line_um == 3 * 34


def test_per_inch_labels() -> None:
    assert mesh_count("120/cm").threads_per_cm * 2.54 == pytest.approx(304.8)
    assert mesh_count("155/cm").threads_per_cm * 2.54 == pytest.approx(393.7)


def test_makers_figures_win() -> None:
    mesh = Mesh(threads_per_cm=190, thread_um=31, measured_opening_um=16,
                measured_thickness_um=55)
    assert mesh.ink_volume_um == pytest.approx(5.0, abs=0.1)
    assert Mesh(threads_per_cm=90, thread_um=48, measured_volume_um=19).ink_volume_um == 19


def test_wet_height_as_printed() -> None:
    """Figure 1: 39 threads/cm of 55 µm, and 305 threads/in with a fabric of 50 µm."""
    assert wet_height_um(Mesh(threads_per_cm=39, thread_um=55)) == pytest.approx(61.76, abs=0.005)
    assert wet_height_um(Mesh(threads_per_cm=120, thread_um=34, measured_thickness_um=50)) == \
        pytest.approx(14.25)


@pytest.mark.parametrize(("count", "thread", "thickness", "height"), [
    (42, 80, 130, 1.82 * 80 * (1 - 42e-4 * 80) ** 2), (43, 80, 130, 0.285 * 130),
    (139, 34, 55, 0.285 * 55), (140, 34, 55, 0.35 * 55)])
def test_wet_height_by_the_rows_of_table_1(count: float, thread: float, thickness: float,
                                           height: float) -> None:
    """Up to 42 threads/cm 1.82 d (1 - M d)², 43 to 139 0.285 F, from 140 on 0.35 F."""
    mesh = Mesh(threads_per_cm=count, thread_um=thread, measured_thickness_um=thickness)
    assert wet_height_um(mesh) == pytest.approx(height, rel=1e-12)
