"""The command works where nothing of its own can be written."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from separations.runtime import compiled_code


def test_a_private_place_where_neither_package_nor_home_can_be_written(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.delenv("NUMBA_CACHE_DIR", raising=False)
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    compiled_code.find_place_for_compiled_code()
    assert "NUMBA_CACHE_DIR" not in os.environ
    monkeypatch.setattr(os, "access", lambda *_args: False)
    monkeypatch.setattr("atexit.register", lambda *_args, **_words: None)
    monkeypatch.setenv("NUMBA_CACHE_DIR", "set to be undone")
    monkeypatch.delenv("NUMBA_CACHE_DIR")
    compiled_code.find_place_for_compiled_code()
    place = Path(os.environ["NUMBA_CACHE_DIR"])
    assert place.parent == tmp_path
    assert place.stat().st_mode & 0o777 == 0o700
