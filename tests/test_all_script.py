"""The script that sets up and runs the tests, for a user who may install nothing."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

SCRIPT = Path(__file__).parent / "all.sh"


def program(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(f"#!/bin/bash\n{text}\n")
    path.chmod(0o755)


def run_as_user(place: Path, sudo: str) -> subprocess.CompletedProcess[str]:
    """Run the script where no Debian package is there and ``sudo`` does as told."""
    (place / "tests").mkdir()
    shutil.copy(SCRIPT, place / "tests")
    program(place / ".venv/bin/python", 'echo "python $*"')
    for name, does in (("dpkg", "exit 1"), ("id", "echo 1000"), ("sudo", sudo),
                       ("apt-get", "exit 100")):
        program(place / "bin" / name, does)
    return subprocess.run(["bash", place / "tests/all.sh", "-k", "mesh"], capture_output=True,
                          text=True, check=False, env={"PATH": f"{place}/bin:/usr/bin:/bin"})


def test_without_sudo_it_names_what_is_missing_and_goes_on(tmp_path: Path) -> None:
    done = run_as_user(tmp_path, "exit 1")
    assert done.returncode == 0, done.stderr
    assert "As root: apt-get install icc-profiles-free poppler-utils qpdf chromium" in done.stderr
    assert "-m pytest" in done.stdout
    assert done.stdout.endswith("-k mesh\n")


def test_with_sudo_it_installs_them(tmp_path: Path) -> None:
    done = run_as_user(tmp_path, 'echo "sudo $*"')
    assert done.returncode == 0
    assert "apt-get install -y -qq icc-profiles-free" in done.stdout
    assert not done.stderr
