"""A text file is there whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from preflight.files.whole_texts import sweep, write_text
from preflight.input_problem import InputProblem


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


@pytest.mark.parametrize("links", [True, False])
def test_a_new_file_takes_nobody_s_place(
        tmp_path: Path, links: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    if not links:
        def refused(*_: object) -> None:
            raise PermissionError

        monkeypatch.setattr(os, "link", refused)
    write_text(tmp_path / "a.toml", b"one", new=True)
    with pytest.raises(FileExistsError):
        write_text(tmp_path / "a.toml", b"two", new=True)
    assert (tmp_path / "a.toml").read_bytes() == b"one"
    write_text(tmp_path / "a.toml", b"three")
    assert (tmp_path / "a.toml").read_bytes() == b"three"
    assert names(tmp_path) == ["a.toml"]


def test_a_full_disk_leaves_what_was_there(
        tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_text(tmp_path / "a.toml", b"one")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(InputProblem):
        write_text(tmp_path / "a.toml", b"two")
    with pytest.raises(InputProblem):
        write_text(tmp_path / "b.toml", b"two", new=True)
    assert (tmp_path / "a.toml").read_bytes() == b"one"
    assert names(tmp_path) == ["a.toml"]


def test_what_a_killed_process_left_is_swept(tmp_path: Path) -> None:
    (tmp_path / ".a.toml.0123abcd.unfinished").write_bytes(b"half")
    (tmp_path / ".b.toml.0123abcd.unfinished").write_bytes(b"another's")
    sweep(tmp_path / "a.toml")
    assert names(tmp_path) == [".b.toml.0123abcd.unfinished"]
