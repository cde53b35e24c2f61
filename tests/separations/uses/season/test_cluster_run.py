"""Jobs on a Dask cluster of real processes: a scheduler, workers that can be used and some not."""

from __future__ import annotations

import hashlib
import json
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from preflight.input_problem import InputProblem
from separations.commands import job_on_worker
from separations.uses.season.carried_files import carried_files
from separations.uses.season.cluster_run import make_season_on_cluster
from separations.uses.season.job_list import listed_jobs
from tests.dask_processes import DaskProcesses, with_dask
from tests.season_jobs import digests, write_tiny_jobs

ROOT = Path(__file__).parents[4]


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DaskProcesses]:
    """One worker that can be used, one with little memory, one with other code."""
    place = tmp_path_factory.mktemp("cluster")
    other = place / "other"
    for package in ("preflight", "separations"):
        shutil.copytree(ROOT / package, other / package,
                        ignore=shutil.ignore_patterns("__pycache__"))
    (other / "separations" / "__init__.py").write_text('"""Another."""\n', encoding="utf-8")
    made = DaskProcesses(place)
    made.worker("--name", "small", "--memory-limit", "300 MiB")
    made.worker("--name", "other", path=other)
    made.worker("--name", "sound")
    yield made
    made.end()


@pytest.fixture(scope="module")
def winter(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, str]]:
    """A folder of two jobs and a bad one, and what a run on this machine makes of them."""
    folder = tmp_path_factory.mktemp("cluster-jobs") / "winter"
    jobs = write_tiny_jobs(folder, 3)
    bad = jobs[1].read_text(encoding="utf-8")
    jobs[1].write_text(bad.replace('"lines.png"', '"none.png"'), encoding="utf-8")
    here = folder.with_name("here")
    done = subprocess.run(
        [sys.executable, "-c", "from separations.command_line import main; main()", "run",
         str(folder), "--out", str(here)], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 2, done.stderr
    shutil.rmtree(here / "overview")
    return folder, digests(here)


@with_dask
@pytest.mark.long
@pytest.mark.parametrize("way", ["shared folder", "sent by content"])
def test_jobs_are_made_elsewhere_with_the_same_bytes(
        cluster: DaskProcesses, winter: tuple[Path, dict[str, str]], tmp_path: Path,
        way: str) -> None:
    folder, here = winter
    words = ["--send-files"] if way == "sent by content" else []
    running = cluster.run(folder, "--out", tmp_path / "there", "--json", *words)
    out, err = running.communicate()
    lines = {Path(line["job"]).stem: line for line in map(json.loads, out.splitlines())}
    assert [lines[name]["state"] for name in sorted(lines)] == ["made", "not made", "made"], err
    assert str(folder) in lines["board-02"]["says"]
    assert running.returncode == 2
    shutil.rmtree(tmp_path / "there" / "overview")
    assert digests(tmp_path / "there") == here
    assert not [path for path in (tmp_path / "there").iterdir() if path.name.startswith(".")]
    told = [line for line in err.splitlines() if "is not used" in line]
    assert len(told) == 1
    assert "it has topsheet" in told[0]


@with_dask
@pytest.mark.long
def test_a_worker_killed_over_a_job_costs_that_job_s_time_alone(
        cluster: DaskProcesses, winter: tuple[Path, dict[str, str]], tmp_path: Path) -> None:
    folder, here = winter
    running = cluster.run(folder, "--out", tmp_path / "there")
    sound = cluster.processes[-1]
    deadline = time.monotonic() + 120
    while time.monotonic() < deadline and not list((tmp_path / "there").glob(".*.unfinished")):
        time.sleep(0.02)
    assert list((tmp_path / "there").glob(".*.unfinished")), "no job was begun"
    sound.send_signal(signal.SIGKILL)
    cluster.worker("--name", "further")
    out, err = running.communicate()
    assert "3 jobs: 2 made, 1 not made." in out, err
    shutil.rmtree(tmp_path / "there" / "overview")
    assert digests(tmp_path / "there") == here
    assert not [path for path in (tmp_path / "there").iterdir() if path.name.startswith(".")]


@with_dask
@pytest.mark.long
def test_a_job_for_which_no_worker_has_memory_is_told(
        cluster: DaskProcesses, winter: tuple[Path, dict[str, str]], tmp_path: Path) -> None:
    for process in cluster.processes[3:]:
        process.kill()
    running = cluster.run(winter[0] / "board-01.toml", "--out", tmp_path / "there")
    out, _ = running.communicate()
    assert "found no worker that can be used with" in out
    assert running.returncode == 2


def test_no_scheduler_is_one_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    jobs = listed_jobs(write_tiny_jobs(tmp_path, 1))
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(InputProblem, match=r"found no Dask .*; pip install '.\[cluster\]'"):
        make_season_on_cluster(jobs, "tcp://127.0.0.1:1")


def test_files_are_kept_by_content_alone() -> None:
    content = b"ink"
    digest = hashlib.sha256(content).hexdigest()
    assert job_on_worker.lacking_files([digest]) == [digest]
    job_on_worker.keep_files({digest: b"another"})
    assert job_on_worker.lacking_files([digest]) == [digest]
    job_on_worker.keep_files({digest: content})
    assert job_on_worker.lacking_files([digest]) == []


def test_a_file_outside_the_job_s_folder_is_not_sent(tmp_path: Path) -> None:
    from preflight.job_file.job_reader import read_job
    from preflight.job_file.named_paths import files_outside_allowed

    (path,) = write_tiny_jobs(tmp_path / "job", 1)
    (tmp_path / "job" / "photo.png").rename(tmp_path / "photo.png")
    path.write_text(path.read_text(encoding="utf-8").replace('"photo.png"', '"../photo.png"'),
                    encoding="utf-8")
    with files_outside_allowed():
        job = read_job(path)
        with pytest.raises(InputProblem, match="outside the job's folder, which is not sent"):
            carried_files(job)
