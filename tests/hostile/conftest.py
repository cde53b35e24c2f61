"""Reading hostile files in processes of their own."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
Measured = dict[str, dict[str, Any]]


@pytest.fixture(scope="session")
def measured() -> Callable[[Path], Measured]:
    """What readers say to each file of a folder, how long they take and how much memory."""

    def read(folder: Path) -> Measured:
        done = subprocess.run([sys.executable, "-m", "tests.hostile.measured_reading", folder],
                              cwd=ROOT, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr
        result: Measured = json.loads(done.stdout.splitlines()[-1])
        return result

    return read
