"""What many tests share: a small job, fresh compiled code, and how property tests run."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import settings

import separations
from tests.small_art import write_small_job

settings.register_profile("steady", derandomize=True, deadline=None, max_examples=60)
settings.load_profile("steady")


def _forget_stale_compiled_code() -> None:
    """Remove compiled code older than the newest module.

    numba notices an edit of a function's own file, not of the files that it calls into.
    """
    package = Path(separations.__file__).parent
    newest = max(path.stat().st_mtime for path in package.rglob("*.py"))
    for cached in package.rglob("*.nb[ic]"):
        if cached.stat().st_mtime < newest:
            cached.unlink(missing_ok=True)


_forget_stale_compiled_code()


@pytest.fixture
def small_job(tmp_path: Path) -> Callable[..., Path]:
    """Writes a small job with its art; replacements turn its text into another job."""

    def write(*replacements: tuple[str, str]) -> Path:
        return write_small_job(tmp_path / "job", *replacements)

    return write
