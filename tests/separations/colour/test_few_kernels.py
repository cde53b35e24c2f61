"""What a first run of an installation waits for: the kernels of a colour lattice.

Compiling is counted, not timed: each kernel for one set of types only, few of them, and no
kernel that counts references (which doubles what there is to compile and to run).
"""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

BUILT = """
import json, sys
import numpy as np
from separations.colour.print_model import PrintModel, plain_model
from separations.planes.ink_lattice import build_ink_lattice

rng = np.random.default_rng(4)
nodes = np.stack(np.meshgrid(*(np.linspace(0, 100, 33),) * 3, indexing="ij"), axis=-1)
model = plain_model(("a", "b"), rng.uniform(0.05, 0.9, (4, 3)), np.ones(4, np.bool_))
if sys.argv[1] == "spreading":
    model = PrintModel(ink_names=model.ink_names, primaries_rgb=model.primaries_rgb,
                       measured=model.measured, curves=model.curves, n=model.n,
                       spread=rng.uniform(0.0, 0.2, (8, 3)))
build_ink_lattice(model, nodes, tone_sum_limit=1.8)
found = {}
for name, module in sorted(sys.modules.items()):
    if name.startswith("separations."):
        for each in vars(module).values():
            if hasattr(each, "signatures") and each.signatures:
                kernel = f"{each.py_func.__module__}.{each.py_func.__name__}"
                counts = bool(each.targetoptions.get("_nrt", True))
                found[kernel] = [len(each.signatures), counts]
print(json.dumps(found))
"""


@pytest.mark.parametrize("kind", ["plain", "spreading"])
def test_a_lattice_needs_few_kernels_and_each_once(kind: str) -> None:
    done = subprocess.run([sys.executable, "-c", BUILT, kind], check=True, capture_output=True,
                          text=True)
    found: dict[str, tuple[int, bool]] = json.loads(done.stdout)
    assert "separations.colour.tone_solver.solve_rows" in found
    assert {kernel for kernel, (times, _) in found.items() if times != 1} == set()
    assert {kernel for kernel, (_, counts) in found.items() if counts} == set()
    assert len(found) <= 10
