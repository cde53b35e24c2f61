"""How long separating takes beside reading and writing the same pixels.

Ratios of two things done in one run; nothing here fails on a clock. Run with
``pytest tests/benchmarks/bench_colour.py -s``.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import numpy as np
import pytest

from separations.colour.ink_colours import print_model, process_ink, spot_ink
from separations.colour.print_model import PrintModel, predict_image_lab
from separations.planes.ink_lattice import InkLattice, build_ink_lattice
from separations.planes.separation import separate
from tests.colour_samples import BAMBOO_LAB, PROCESS_INK_NAMES, srgb_to_lab

PROCESS = [process_ink(name) for name in PROCESS_INK_NAMES]
SETS = {4: PROCESS, 6: [*PROCESS[:3], spot_ink("ember red"), spot_ink("pine green"), PROCESS[3]]}
ROWS, COLUMNS = 2000, 2500


def seconds(work: Callable[[], object], times: int = 3) -> float:
    """Best of several runs, after one that is not counted."""
    work()
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


def set_up(inks: int) -> tuple[PrintModel, InkLattice, float]:
    steps = np.linspace(0.0, 1.0, 33)
    nodes = srgb_to_lab(np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1))
    model = print_model(BAMBOO_LAB, SETS[inks])

    def build() -> InkLattice:
        return build_ink_lattice(model, nodes, tone_sum_limit=2.6, black_ink=inks - 1)

    return model, build(), seconds(build, 2)


@pytest.mark.benchmark
@pytest.mark.parametrize("inks", [4, 6])
def test_separating_beside_moving_the_pixels(inks: int) -> None:
    model, lattice, building = set_up(inks)
    rgb = np.random.default_rng(1).integers(0, 256, (ROWS, COLUMNS, 3), dtype=np.uint8)
    planes = separate(rgb, lattice)
    moving = seconds(lambda: np.ascontiguousarray(rgb.transpose(2, 0, 1)))
    separating = seconds(lambda: separate(rgb, lattice))
    proofing = seconds(lambda: predict_image_lab(planes, model))
    sys.stdout.write(
        f"\n{inks} inks, {ROWS * COLUMNS / 1e6:.0f} Mpx, against one transposed copy "
        f"({moving * 1e3:.0f} ms): separate x {separating / moving:.1f}, "
        f"proof x {proofing / moving:.1f}; lattice x {building / moving:.1f}\n")
    assert planes.shape == (inks, ROWS, COLUMNS)
