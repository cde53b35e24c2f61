"""Which jobs a call of many means, and where their outputs go."""

from __future__ import annotations

from pathlib import Path

import pytest

from preflight.input_problem import InputProblem
from separations.uses.season.job_list import is_one_job, listed_jobs
from tests.season_jobs import write_tiny_jobs


def _names(given: list[Path], out: Path | None = None) -> list[str]:
    return [one.job.name for one in listed_jobs(given, out)]


@pytest.fixture
def winter(tmp_path: Path) -> Path:
    """A folder with two jobs, one more below, and much that is no job."""
    folder = tmp_path / "winter"
    write_tiny_jobs(folder, 2)
    write_tiny_jobs(folder / "late", 1)
    (folder / "late" / "board-01.toml").rename(folder / "late" / "board-03.toml")
    (folder / "shelf.toml").write_text('name = "Shelf"\n[[ink]]\nname = "Black"\n')
    (folder / ".drafts").mkdir()
    (folder / ".drafts" / "board-09.toml").write_text("[board]\n")
    made = folder / "board-01-out"
    made.mkdir()
    (made / ".topsheet-folder").write_text("Written whole\n")
    (made / "board-08.toml").write_text("[board]\n")
    return folder


def test_a_folder_is_searched_but_for_outputs_and_hidden_ones(winter: Path) -> None:
    assert _names([winter]) == ["board-01.toml", "board-02.toml", "board-03.toml"]


def test_a_job_file_that_cannot_be_read_is_one_of_the_jobs(winter: Path) -> None:
    (winter / "broken.toml").write_text("title = \n")
    assert "broken.toml" in _names([winter])


def test_a_list_names_jobs_beside_it_and_has_comments(winter: Path) -> None:
    told = winter / "monday.txt"
    told.write_text("# first\nlate/board-03.toml  # the small one\n\nboard-01.toml\nnone.toml\n")
    assert _names([told]) == ["board-03.toml", "board-01.toml", "none.toml"]


def test_each_job_is_meant_once_and_goes_beside_itself_or_into_one_folder(winter: Path) -> None:
    one = winter / "board-02.toml"
    assert _names([one, winter]) == ["board-02.toml", "board-01.toml", "board-03.toml"]
    assert listed_jobs([one])[0].out == winter / "board-02-out"
    assert listed_jobs([one], Path("made"))[0].out == Path("made/board-02-out")


def test_two_jobs_with_one_output_folder_are_refused(winter: Path) -> None:
    (winter / "late" / "board-03.toml").rename(winter / "late" / "board-01.toml")
    assert len(_names([winter])) == 3
    with pytest.raises(InputProblem, match="job files of different names would do"):
        _names([winter], Path("made"))


@pytest.mark.parametrize("name", ["photo.png", "nothing-here"])
def test_what_is_no_job_is_refused_with_a_sentence(winter: Path, name: str) -> None:
    with pytest.raises(InputProblem, match="found neither a job file, a folder nor a list; a job"):
        _names([winter / name])


def test_a_folder_without_jobs_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputProblem, match="found no job file"):
        _names([tmp_path])


def test_one_job_file_is_no_season(winter: Path) -> None:
    assert is_one_job([winter / "board-01.toml"])
    assert not is_one_job([winter])
    assert not is_one_job([winter / "monday.txt"])
    assert not is_one_job([winter / "board-01.toml", winter / "board-02.toml"])
