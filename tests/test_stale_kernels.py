"""An edit forgets the compiled code that it can change, and no other."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.stale_kernels import stale_kernels

MODULES = {
    "preflight/units.py": "",
    "preflight/resampling.py": "from preflight.units import MM\n",
    "separations/spot.py": "from preflight import units\n",
    "separations/screening.py": "def screen():\n    from separations.spot import spot\n",
    "separations/group4.py": "import numpy\n",
}
KERNELS = ("preflight/__pycache__/resampling.line-4.py311.nbi",
           "separations/__pycache__/spot.spot-1.py311.nbi",
           "separations/__pycache__/screening.screen-1.py311.1.nbc",
           "separations/__pycache__/group4._code-9.py311.nbi")


@pytest.fixture
def house(tmp_path: Path) -> Path:
    for name, text in MODULES.items():
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
        os.utime(path, (1000, 1000))
    for name in KERNELS:
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(b"")
        os.utime(path, (2000, 2000))
    return tmp_path


@pytest.mark.parametrize(("edited", "forgotten"), [
    (None, ()),
    ("separations/group4.py", ("group4",)),
    ("separations/screening.py", ("screening",)),
    ("separations/spot.py", ("screening", "spot")),
    ("preflight/resampling.py", ("resampling",)),
    ("preflight/units.py", ("resampling", "screening", "spot")),
])
def test_an_edit_forgets_what_reaches_the_module(
        house: Path, edited: str | None, forgotten: tuple[str, ...]) -> None:
    if edited is not None:
        os.utime(house / edited, (3000, 3000))
    assert sorted(path.name.split(".")[0] for path in stale_kernels(house)) == list(forgotten)


def test_code_of_a_module_that_is_gone_is_forgotten(house: Path) -> None:
    (house / "separations/group4.py").unlink()
    assert [path.name for path in stale_kernels(house)] == ["group4._code-9.py311.nbi"]
