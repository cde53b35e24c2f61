"""Where outputs may go."""

from __future__ import annotations

from pathlib import Path

import pytest

from preflight.files.output_places import is_no_name_on_windows, resolved, settled
from preflight.files.whole_files import whole_folder
from preflight.input_problem import InputProblem
from separations.films.film_names import film_name


@pytest.mark.parametrize("name", [
    "con", "CON", "nul.txt", "Aux.tar.gz", "com1", "LPT9.pdf", "COM¹", "conin$", "prn ", "a.",
    "a ", "a:b", "what?", "a|b", 'a"b', "a<b", "a\\b", "tab\t", "nul .txt"])
def test_names_that_windows_cannot_have(name: str) -> None:
    """Names from Microsoft, "Naming Files, Paths, and Namespaces"."""
    assert is_no_name_on_windows(name)


@pytest.mark.parametrize("name", ["console", "a.con", "com10", "nu", "01-Con.pdf", ".topsheet",
                                  "jöb é", "a.b c"])
def test_names_that_windows_can_have(name: str) -> None:
    assert not is_no_name_on_windows(name)


def test_an_ink_s_films_have_names_for_every_system() -> None:
    inks = ["CON", "nul", "a.", "aux.", "Blå: djup?", "¹", "..", "COM1", "com1", "Com1 "]
    names = [f"{film_name(order, ink)}.pdf" for order, ink in enumerate(inks, 1)]
    assert not any(map(is_no_name_on_windows, names))
    assert len({name.casefold() for name in names}) == len(inks)


def test_a_way_there_and_back_leaves_nothing(tmp_path: Path) -> None:
    with whole_folder(tmp_path / "d" / "x" / ".." / ".." / "e" / "out") as fresh:
        (fresh / "a").write_text("1")
    assert [p.name for p in tmp_path.iterdir()] == ["e"]
    assert (tmp_path / "e" / "out" / "a").exists()


def test_a_failed_run_leaves_no_folder_above_its_own(tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()

    def fail(target: Path) -> None:
        with whole_folder(target):
            raise KeyboardInterrupt

    for target in (tmp_path / "a" / "b" / "out", tmp_path / "mine" / "out"):
        with pytest.raises(KeyboardInterrupt):
            fail(target)
    assert [p.name for p in tmp_path.iterdir()] == ["mine"]


def test_links_that_go_round_are_told(tmp_path: Path) -> None:
    (tmp_path / "round").symlink_to("round")
    for place in (tmp_path / "round", tmp_path / "round" / "out", Path("a\0b")):
        with pytest.raises(InputProblem, match="found links that go round"):
            resolved(place)
        with pytest.raises(InputProblem, match="found links that go round"):
            settled(place)


def test_the_top_of_a_disk_is_no_output() -> None:
    with pytest.raises(InputProblem, match="the root of a disk"):
        settled(Path("/"))
