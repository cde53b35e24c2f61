"""What many tests share: a small job, fresh compiled code, and how property tests run."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import settings

import separations
from separations.runtime.first_kernels import note_prepared
from tests.small_art import write_small_job
from tests.stale_kernels import stale_kernels

settings.register_profile("steady", derandomize=True, deadline=None, max_examples=60)
settings.load_profile("steady")


for _stale in stale_kernels(Path(separations.__file__).parent.parent):
    _stale.unlink(missing_ok=True)
# Tests compile what they call, where they call it; those of the preparation look elsewhere.
note_prepared()


#: Files that take longest: they come first, so that no process works on one alone at the end.
_LONGEST = ("test_layout_in_browser.py", "test_gang_films.py", "test_exit_sentences.py",
            "test_session.py", "test_looks.py")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    items.sort(key=lambda item: item.path.name not in _LONGEST)


@pytest.fixture
def small_job(tmp_path: Path) -> Callable[..., Path]:
    """Writes a small job with its art; replacements turn its text into another job."""

    def write(*replacements: tuple[str, str]) -> Path:
        return write_small_job(tmp_path / "job", *replacements)

    return write
