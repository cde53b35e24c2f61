"""How long the first colour lattice of an installation takes beside later ones.

Each in a process of its own, with compiled code kept nowhere, kept, and in memory; figures are
told, nothing here fails on a clock. Run with ``pytest tests/benchmarks/bench_cold_start.py -s``.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

BUILT = """
import json, sys, time
import numpy as np
from separations.colour.ink_colours import print_model, process_ink, spot_ink
from separations.planes.ink_lattice import build_ink_lattice
from tests.colour_samples import BAMBOO_LAB, PROCESS_INK_NAMES, srgb_to_lab

inks = [process_ink(name) for name in PROCESS_INK_NAMES]
if sys.argv[1] == "6":
    inks[3:3] = [spot_ink("ember red"), spot_ink("pine green")]
steps = np.linspace(0.0, 1.0, 33)
nodes = srgb_to_lab(np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1))
model = print_model(BAMBOO_LAB, inks)
taken = []
for _ in range(2):
    start = time.process_time(), time.perf_counter()
    build_ink_lattice(model, nodes, tone_sum_limit=2.6, black_ink=len(inks) - 1)
    taken += [time.process_time() - start[0], time.perf_counter() - start[1]]
print(json.dumps(taken))
"""


@pytest.mark.benchmark
@pytest.mark.parametrize("inks", ["4", "6"])
def test_first_lattice(inks: str, tmp_path: Path) -> None:
    surroundings = {**os.environ, "NUMBA_CACHE_DIR": str(tmp_path)}
    told = []
    for _ in range(2):
        done = subprocess.run([sys.executable, "-c", BUILT, inks], check=True, text=True,
                              capture_output=True, env=surroundings)
        told.append(json.loads(done.stdout))
    (cold, cold_wall, warm, warm_wall), (kept, kept_wall, _, _) = told
    sys.stdout.write(
        f"\n{inks} inks, seconds of the processor (on the wall): first of an installation "
        f"{cold:.1f} ({cold_wall:.1f}), first of a process {kept:.2f} ({kept_wall:.2f}), later "
        f"{warm:.2f} ({warm_wall:.2f}); first over later x {cold / warm:.1f}\n")
