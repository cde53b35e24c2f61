"""Which jobs go to which workers of a cluster, and when: a made-up cluster that answers at once."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from concurrent.futures import Future
from pathlib import Path
from threading import Thread
from typing import Any

import pytest

from separations.uses.season import cluster_run, taken_jobs
from separations.uses.season.cluster_run import make_season_on_cluster
from separations.uses.season.job_list import listed_jobs
from separations.uses.season.job_result import JobResult
from separations.uses.season.season_run import SeasonOptions, SeasonProgress
from tests.season_jobs import write_tiny_jobs

#: What a tiny job is reckoned to take, rounded (MiB).
NEED_MIB = 511
REFUSED = {"status": 2, "says": "refused", "taken": False}


class _Answer(Future[Any]):
    def cancel(self, *, force: bool = False) -> bool:
        return force and super().cancel()

    def release(self) -> None:
        """Let go of it."""


class MadeUpCluster:
    """What is asked of a client of Dask's, with workers that answer orders as a test says."""

    def __init__(self, workers: int, answer: Callable[[], Any] = lambda: REFUSED) -> None:
        self.status = "running"
        self.workers = {f"tcp://{number}": {"memory_limit": 0} for number in range(workers)}
        self._answer = answer

    def scheduler_info(self, n_workers: int) -> dict[str, Any]:
        assert n_workers == -1
        return {"workers": dict(self.workers)}

    def run(self, call: Callable[[], Any], workers: list[str], on_error: str) -> dict[str, Any]:
        assert on_error == "return"
        return {address: call() for address in workers}

    def submit(self, _call: Callable[[], Any], *, workers: list[str], **how: bool) -> _Answer:
        assert how == {"allow_other_workers": False, "pure": False}
        assert len(workers) == 1
        future = _Answer()

        def work() -> None:
            time.sleep(0.05)
            try:
                future.set_result(self._answer())
            except RuntimeError as fault:
                future.set_exception(fault)

        Thread(target=work).start()
        return future

    def close(self) -> None:
        """End it."""


class Season:
    """A call for jobs on a made-up cluster, and how many were at work at a time."""

    def __init__(self, place: Path, monkeypatch: pytest.MonkeyPatch, jobs: int,
                 cluster: MadeUpCluster) -> None:
        monkeypatch.setattr(cluster_run, "connected", lambda _address: cluster)
        monkeypatch.setattr(taken_jobs, "_BETWEEN_LOOKS_S", 0.05)
        self.listed = listed_jobs(write_tiny_jobs(place / "winter", jobs))
        self.seen: list[SeasonProgress] = []

    def make(self, **how: Any) -> tuple[JobResult, ...]:
        return make_season_on_cluster(self.listed, "tcp://made-up", SeasonOptions(**how),
                                      progress=self.seen.append)

    @property
    def most(self) -> int:
        return max(len(progress.at_work) for progress in self.seen)


@pytest.mark.parametrize(("how", "most"), [
    ({}, 4), ({"at_once": 2}, 2), ({"at_once": 9}, 4),
    ({"memory_bytes": 3 * NEED_MIB * 2**20}, 3),
    ({"memory_bytes": 3 * NEED_MIB * 2**20, "at_once": 1}, 1)])
def test_no_more_are_at_work_than_is_asked_for(
        tmp_path: Path, monkeypatch: pytest.MonkeyPatch, how: dict[str, int], most: int) -> None:
    season = Season(tmp_path, monkeypatch, 9, MadeUpCluster(4))
    assert [result.says for result in season.make(**how)] == ["refused"] * 9
    assert season.most == most


def test_a_job_that_takes_more_than_all_may_is_told(
        tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    season = Season(tmp_path, monkeypatch, 1, MadeUpCluster(1))
    (result,) = season.make(memory_bytes=500 * 2**20)
    assert result.status == 2
    assert re.search(
        r"board-01.toml: found an expected need of \d+ MiB, where all jobs together may hold 500 "
        r"MiB; a smaller picture or a higher limit \(--memory\) would do\.$", result.says)


def test_an_output_that_another_run_writes_is_waited_for(
        tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A worker goes on with what a call that was killed has begun."""
    answers = [{"status": 2, "says": "another run", "taken": True}] * 3 + [REFUSED]
    season = Season(tmp_path, monkeypatch, 1, MadeUpCluster(1, lambda: answers.pop(0)))
    assert [result.says for result in season.make()] == ["refused"]
    assert answers == []

    answers = [{"status": 2, "says": "another run", "taken": True}] * 3
    monkeypatch.setattr(taken_jobs, "_PATIENCE_S", 0.0)
    assert [result.says for result in season.make()] == ["another run"]
    assert len(answers) == 1


def test_workers_that_fail_are_tried_four_times(
        tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    tries = []

    def fail() -> Any:
        tries.append(1)
        raise RuntimeError("no room on the disk")

    (result,) = Season(tmp_path, monkeypatch, 1, MadeUpCluster(1, fail)).make()
    assert "found 4 workers lost over it (the last: no room on the disk);" in result.says
    assert len(tries) == 4


def test_without_a_scheduler_what_is_left_is_told_as_not_made(
        tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    cluster = MadeUpCluster(1)

    def refuse_and_go() -> Any:
        cluster.status = "closed"
        return REFUSED

    cluster._answer = refuse_and_go
    results = Season(tmp_path, monkeypatch, 3, cluster).make()
    assert [result.status for result in results] == [2, 2, 2]
    told = [result.says for result in results]
    assert told[1].endswith("board-02.toml: found no scheduler any more to have it made; the same "
                            "call once one is there again would do.")
