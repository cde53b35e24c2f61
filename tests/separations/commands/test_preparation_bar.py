"""What the first command after an installation says."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from separations.command_line import topsheet
from separations.commands import preparation_bar
from separations.commands.preparation_bar import prepared_first


@pytest.fixture
def bounds(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """The bounds of memory that preparations were given; each tells of its half and its end."""
    given: list[int] = []

    def prepare(begin: Callable[[], None], progress: Callable[[float, float], None],
                bound: int) -> None:
        given.append(bound)
        begin()
        progress(3.0, 6.0)
        progress(6.0, 6.0)

    monkeypatch.setattr(preparation_bar, "is_prepared", lambda: False)
    monkeypatch.setattr(preparation_bar, "prepare_kernels", prepare)
    return given


@pytest.fixture
def look() -> click.Command:
    @click.command()
    @click.argument("job", type=click.Path(path_type=Path))
    def look(job: Path) -> None:
        click.echo(f"looked at {job.name}")

    return prepared_first(look)


def test_one_sentence_where_no_terminal_looks_on(
        bounds: list[int], look: click.Command, tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text("", encoding="utf-8")
    done = CliRunner().invoke(look, [str(tmp_path / "job.toml")])
    assert done.stderr == ("Preparing the compiled parts: once, for this and all later "
                           "commands.\n")
    assert done.stdout == "looked at job.toml\n"
    assert len(bounds) == 1


def test_a_bar_on_a_terminal(
        bounds: list[int], look: click.Command, tmp_path: Path,
        monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "job.toml").write_text("", encoding="utf-8")
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    look.main([str(tmp_path / "job.toml")], standalone_mode=False)
    said = capsys.readouterr()
    assert "Compiled parts" in said.err
    assert "100%" in said.err
    assert said.out == "looked at job.toml\n"
    assert bounds


def test_code_that_nothing_keeps_is_said_to_be_for_this_command(
        bounds: list[int], look: click.Command, tmp_path: Path,
        monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "job.toml").write_text("", encoding="utf-8")
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path / "topsheet-compiled-x"))
    said = CliRunner().invoke(look, [str(tmp_path / "job.toml")]).stderr
    assert said == ("Preparing the compiled parts: for this command alone, as no folder that "
                    "keeps them can be written.\n")
    assert bounds


def test_nothing_is_prepared_for_a_job_that_is_not_there(
        bounds: list[int], look: click.Command, tmp_path: Path) -> None:
    assert CliRunner().invoke(look, [str(tmp_path / "none.toml")]).stderr == ""
    assert not bounds


def test_the_bound_of_memory_is_kept(bounds: list[int], tmp_path: Path) -> None:
    from separations.runtime.memory_watch import MemoryWatch

    (tmp_path / "job.toml").write_text("", encoding="utf-8")
    CliRunner().invoke(topsheet, ["check", str(tmp_path / "job.toml"), "--memory", "600 MiB"],
                       obj=MemoryWatch(lambda: None))
    assert bounds == [600 * 2**20]
