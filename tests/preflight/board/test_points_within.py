"""Points asked of an area that several threads share."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import shapely
from shapely.geometry import Point, box

from preflight.board.points_within import points_within

ROOT = Path(__file__).parents[3]
#: What of shapely prepares the area that it is given.
PREPARING = ("contains_xy", "intersects_xy", "prepare(", "prep(", "prepared")

MANY_ASK = """
import sys, threading, time
import numpy as np
from shapely.geometry import Point
from preflight.board.points_within import points_within

x, y = np.random.default_rng(1).random((2, 50)) * 2 - 1
ends = time.monotonic() + 2
while time.monotonic() < ends:
    areas = [Point(0, 0).buffer(1, quad_segs=300) for _ in range(20)]
    at_once = threading.Barrier(3)

    def ask():
        at_once.wait()
        for area in areas:
            points_within(area, x, y)

    threads = [threading.Thread(target=ask) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
"""


def test_points_are_told_and_the_area_stays_as_it_was() -> None:
    area = box(0, 0, 10, 4).difference(Point(5, 2).buffer(1))
    x, y = np.meshgrid([-1.0, 0.0, 1.0, 5.0], [2.0, 3.9])
    found = points_within(area, x, y)
    assert found.tolist() == [[False, False, True, False], [False, False, True, True]]
    assert bool(points_within(area, 1.0, 1.0))
    assert not shapely.is_prepared(area)


def test_threads_that_ask_at_once_spoil_nothing() -> None:
    """With shapely's own call the process is aborted within a second: the heap is spoilt."""
    done = subprocess.run([sys.executable, "-c", MANY_ASK], cwd=ROOT, timeout=120,
                          capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, "")


def test_no_other_module_has_shapely_prepare_an_area() -> None:
    own_line = ROOT / "preflight" / "board" / "outline_in_frame.py"  # made and asked in one place
    for package in ("preflight", "separations"):
        for path in (ROOT / package).rglob("*.py"):
            if path.name == "points_within.py" or path == own_line:
                continue
            lines = [line for line in path.read_text(encoding="utf-8").splitlines()
                     if "shapely" in line or "contains_xy" in line or "intersects_xy" in line]
            assert not [line for line in lines if any(word in line for word in PREPARING)], path
