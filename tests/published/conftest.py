"""Characterisation data that Debian's package icc-profiles-free installs."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

FOLDER = Path("/usr/share/color/icc")


@dataclass(frozen=True, slots=True)
class PrintedPatches:
    """Patches of one characterisation set: tones (N, 4) and XYZ, Y = 1 for white, and Lab."""

    tones: NDArray[np.float64]
    xyz: NDArray[np.float64]
    lab: NDArray[np.float64]

    def primaries(self) -> NDArray[np.float64]:
        """XYZ of the 16 overprints; bit i of the index: ink i of C, M, Y, K."""
        found = []
        for index in range(16):
            corner = [float(index >> ink & 1) for ink in range(4)]
            found.append(self.xyz[(self.tones == corner).all(axis=1)].mean(axis=0))
        return np.array(found)


def read_ti3(path: Path) -> PrintedPatches:
    """Read the CMYK, XYZ and Lab columns of a CGATS-style characterisation file."""
    lines = [line.strip() for line in path.read_text(encoding="latin-1").splitlines()]
    names = lines[lines.index("BEGIN_DATA_FORMAT") + 1].split()
    first = lines.index("BEGIN_DATA") + 1
    rows = [line.split() for line in lines[first : lines.index("END_DATA")] if line.strip()]
    assert all(len(row) == len(names) for row in rows)
    # the first column is a label
    values = np.array([row[1:] for row in rows], np.float64).T
    columns = dict(zip(names[1:], values, strict=True))
    return PrintedPatches(
        np.stack([columns[f"CMYK_{ink}"] for ink in "CMYK"], axis=1) / 100.0,
        np.stack([columns[f"XYZ_{axis}"] for axis in "XYZ"], axis=1) / 100.0,
        np.stack([columns[f"LAB_{axis}"] for axis in "LAB"], axis=1))


@pytest.fixture
def printed_patches() -> Callable[[str], PrintedPatches]:
    """Reads a set by name; skips where the package is not installed, except in CI."""

    def read(name: str) -> PrintedPatches:
        path = FOLDER / f"{name}.ti3"
        if not path.exists():
            told = f"{path} is not there: install Debian's icc-profiles-free to run this check"
            if os.environ.get("CI"):
                pytest.fail(told)
            pytest.skip(told)
        return read_ti3(path)

    return read
