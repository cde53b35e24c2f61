"""The process that makes films for the layout page tells how far it is, and how it ended."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from separations.commands.film_run import main


def told(capsys: pytest.CaptureFixture[str]) -> list[dict[str, Any]]:
    return [json.loads(line) for line in capsys.readouterr().out.splitlines()]


def test_a_run_tells_its_steps_its_share_and_that_the_films_are_made(
        small_job: Callable[..., Path], tmp_path: Path,
        capsys: pytest.CaptureFixture[str]) -> None:
    main([str(small_job()), str(tmp_path / "out"), "--despite-stops"])
    lines = told(capsys)
    shares = [one["share"] for one in lines if "share" in one]
    assert shares == sorted(shares)
    assert shares[-1] == 1
    assert lines[-1]["ended"] == "made"
    assert len(list((tmp_path / "out" / "films").glob("*.pdf"))) == 4


def test_a_job_that_cannot_be_used_is_told_in_its_sentence(
        small_job: Callable[..., Path], tmp_path: Path,
        capsys: pytest.CaptureFixture[str]) -> None:
    job = small_job()
    (job.parent / "photo.png").unlink()
    main([str(job), str(tmp_path / "out")])
    assert told(capsys)[-1]["ended"] == "failed"
    assert not (tmp_path / "out").exists()
