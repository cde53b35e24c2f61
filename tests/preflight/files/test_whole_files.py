"""A folder appears whole or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from preflight.files.whole_files import whole_folder
from preflight.input_problem import InputProblem


def names(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir())


def test_it_appears_whole(tmp_path: Path) -> None:
    with whole_folder(tmp_path / "out") as fresh:
        (fresh / "a").write_text("1")
        assert not (tmp_path / "out").exists()
    assert names(tmp_path) == ["out"]
    assert "a" in names(tmp_path / "out")


def test_a_second_run_replaces_the_first_whole(tmp_path: Path) -> None:
    for name in "ab":
        with whole_folder(tmp_path / "out") as fresh:
            (fresh / name).write_text("1")
    assert names(tmp_path) == ["out"]
    assert "b" in names(tmp_path / "out")
    assert "a" not in names(tmp_path / "out")


def test_a_file_of_the_users_own_is_never_deleted(tmp_path: Path) -> None:
    with whole_folder(tmp_path / "out") as fresh:
        (fresh / "films").mkdir()
        (fresh / "films" / "a").write_text("1")
    notes = tmp_path / "out" / "films" / "notes.txt"
    notes.write_text("readings")
    with pytest.raises(InputProblem, match=r"notes\.txt: found a file that topsheet did not"), \
            whole_folder(tmp_path / "out"):
        raise AssertionError
    assert notes.read_text() == "readings"
    notes.unlink()
    with whole_folder(tmp_path / "out"):
        pass
    assert names(tmp_path) == ["out"]


def failing_run(target: Path) -> None:
    with whole_folder(target) as fresh:
        (fresh / "b").write_text("1")
        raise KeyboardInterrupt


def test_a_failed_run_leaves_the_former_output(tmp_path: Path) -> None:
    with whole_folder(tmp_path / "out") as fresh:
        (fresh / "a").write_text("1")
    before = names(tmp_path / "out")
    with pytest.raises(KeyboardInterrupt):
        failing_run(tmp_path / "out")
    assert names(tmp_path) == ["out"]
    assert names(tmp_path / "out") == before


def test_strange_folders_are_left_alone(tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "letter.txt").write_text("dear")
    with pytest.raises(InputProblem, match="a folder with other files in it"), \
            whole_folder(tmp_path / "mine"):
        raise AssertionError
    with pytest.raises(InputProblem, match="not a folder"), \
            whole_folder(tmp_path / "mine" / "letter.txt"):
        raise AssertionError
    assert names(tmp_path) == ["mine"]


def test_a_place_that_cannot_be_written(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(InputProblem, match="no way to write there"), \
            whole_folder(tmp_path / "file" / "out"):
        raise AssertionError


def test_a_run_that_was_killed_is_cleared_up_and_a_live_one_is_left_alone(tmp_path: Path) -> None:
    left = tmp_path / ".out.0123abcd.unfinished"
    left.mkdir()
    (left / "half").write_text("1")
    others = tmp_path / ".out.2.0123abcd.unfinished"  # the folder of the output "out.2"
    others.mkdir()
    with whole_folder(tmp_path / "out"):
        assert not left.exists()
        with pytest.raises(InputProblem, match="another run that is writing there now"), \
                whole_folder(tmp_path / "out"):
            raise AssertionError
    assert names(tmp_path) == [others.name, "out"]


def test_an_output_that_was_moved_aside_comes_back(tmp_path: Path) -> None:
    with whole_folder(tmp_path / "out") as fresh:
        (fresh / "a").write_text("1")
    (tmp_path / "out").rename(tmp_path / ".out.0123abcd.former")
    with pytest.raises(KeyboardInterrupt):
        failing_run(tmp_path / "out")
    assert names(tmp_path) == ["out"]
    assert "a" in names(tmp_path / "out")


def test_a_file_that_was_filled_in_is_never_overwritten(tmp_path: Path) -> None:
    with whole_folder(tmp_path / "out") as fresh:
        (fresh / "patches.csv").write_text("patch,D\n1,\n")
    (tmp_path / "out" / "patches.csv").write_text("patch,D\n1,1.32\n")
    with pytest.raises(InputProblem, match="changed since"), whole_folder(tmp_path / "out"):
        raise AssertionError
    (tmp_path / "out" / "patches.csv").unlink()
    with whole_folder(tmp_path / "out"):
        pass


def test_a_file_added_while_a_run_was_at_work_is_kept(tmp_path: Path) -> None:
    def run() -> None:
        with whole_folder(tmp_path / "out"):
            (tmp_path / "out").mkdir()
            (tmp_path / "out" / "mine").write_text("1")

    with pytest.raises(InputProblem, match="a folder with other files"):
        run()
    assert names(tmp_path) == ["out"]


def test_the_list_of_an_older_run_names_files_only(tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "a").write_text("1")
    (tmp_path / "out" / ".topsheet-folder").write_text("Written whole by topsheet:\na\n")
    with whole_folder(tmp_path / "out") as fresh:
        (fresh / "b").write_text("1")
    assert names(tmp_path / "out") == [".topsheet-folder", "b"]


def test_a_folder_that_somebody_looks_into_is_waited_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As on Windows, where a program that reads new files forbids to rename their folder."""
    rename, refused = Path.rename, [2]

    def busy(self: Path, target: Path) -> Path:
        if refused[0]:
            refused[0] -= 1
            raise PermissionError(13, "in use")
        return rename(self, target)

    monkeypatch.setattr("preflight.files.renamed_folders._WAITS_S", (0.0, 0.0))
    monkeypatch.setattr(Path, "rename", busy)
    with whole_folder(tmp_path / "out"):
        pass
    refused[0] = 3
    with pytest.raises(InputProblem, match="no way to write there"), \
            whole_folder(tmp_path / "other"):
        pass
    assert names(tmp_path) == ["out"]
