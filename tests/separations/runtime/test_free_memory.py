"""What the process holds once large arrays are done with, in a process of its own."""

from __future__ import annotations

import subprocess
import sys

import pytest

_SCRIPT = """
import sys
import numpy as np
from separations.runtime.free_memory import give_back_free_memory, return_large_blocks
if sys.argv[1] == "returned" and not return_large_blocks():
    sys.exit(3)

def resident_mib():
    with open("/proc/self/statm") as figures:
        return int(figures.read().split()[1]) * 4 // 1024

np.ones(30 * 2**20, np.uint8)  # the C library's limit rises to this
before = resident_mib()
held = [np.ones(20 * 2**20, np.uint8) for _ in range(10)]
last = np.ones(2**16, np.uint8)  # lies above them, so that nothing below can shrink away
del held
if sys.argv[2:] and not give_back_free_memory():
    sys.exit(3)
print(resident_mib() - before)
"""


def _kept_mib(*how: str) -> int:
    done = subprocess.run([sys.executable, "-c", _SCRIPT, *how], capture_output=True, text=True,
                          check=False)
    if done.returncode == 3 or not sys.platform.startswith("linux"):
        pytest.skip("another C library")
    return int(done.stdout)


def test_large_arrays_are_given_back() -> None:
    assert _kept_mib("returned") < 10
    assert _kept_mib("as it comes") > 100


def test_what_the_library_kept_can_be_given_back() -> None:
    assert _kept_mib("as it comes", "and given back") < 10
