"""Names of files in a job: those outside its folder, pipes, devices, links, folders."""

from __future__ import annotations

import os
import socket
import threading
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest
import reportlab

from preflight.files.regular_files import bytes_of, open_regular
from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from preflight.job_file.named_paths import files_outside_allowed, path_within
from separations.pipeline.calls import check_job, make_proof
from tests.small_art import write_small_job

Write = Callable[..., Path]


def refused(work: Callable[[], object]) -> str:
    """The sentence of a refusal that comes at once."""
    said: list[str] = []

    def run() -> None:
        try:
            work()
        except InputProblem as problem:
            said.append(problem.sentence)

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    thread.join(20)
    assert said, "it hangs, or reads"
    return said[0]


@pytest.mark.parametrize("name", [
    "../photo.png", "/etc/hostname", "sub/../../photo.png", "link.png", "linked/photo.png",
    "./.././photo.png", "round.png"])
def test_files_outside_the_job_s_folder(tmp_path: Path, name: str) -> None:
    job = write_small_job(tmp_path / "job", ('"photo.png"', f'"{name}"'))
    (job.parent / "sub").mkdir()
    (tmp_path / "photo.png").write_bytes((job.parent / "photo.png").read_bytes())
    (job.parent / "link.png").symlink_to(tmp_path / "photo.png")
    (job.parent / "linked").symlink_to(tmp_path)
    (job.parent / "round.png").symlink_to("round.png")
    said = refused(lambda: check_job(job))
    assert any(words in said for words in (
        "outside the job's folder", "no such file", "cannot be found", "links")), said
    if name in ("../photo.png", "link.png", "linked/photo.png"):
        assert said.endswith("a file in that folder, or the option --allow-outside, would do.")
        with files_outside_allowed():
            assert check_job(job).findings
    refused(lambda: check_job(job))  # the permission ends with its block


def test_all_files_of_a_job_may_lie_outside_when_that_is_allowed(tmp_path: Path) -> None:
    font = Path(reportlab.__file__).parent / "fonts" / "Vera.ttf"
    job = write_small_job(
        tmp_path / "job", ('"photo.png"', '"../photo.png"'), ('"lines.png"', '"../lines.png"'),
        ("[separation]", f'[[note]]\ntext = "Cove"\nat = ["0 mm", "0 mm"]\nink = "Black"\n'
                         f'font = "{font}"\n[separation]'))
    for name in ("photo.png", "lines.png"):
        (job.parent / name).rename(tmp_path / name)
    refused(lambda: check_job(job))
    with files_outside_allowed():
        allowed = read_job(job)
    assert check_job(allowed).findings


@pytest.mark.parametrize("name", ["photo.png", "./photo.png", "sub/../photo.png", "inner.png"])
def test_files_inside_it(tmp_path: Path, name: str) -> None:
    job = tmp_path / "job.toml"
    (tmp_path / "sub").mkdir()
    (tmp_path / "photo.png").write_bytes(b"1")
    (tmp_path / "inner.png").symlink_to(tmp_path / "photo.png")
    assert path_within(job, name, outside=False).read_bytes() == b"1"
    here = Path(os.path.relpath(tmp_path)) / "job.toml"
    assert path_within(here, name, outside=False).read_bytes() == b"1"


def test_pipes_devices_sockets_and_folders_never_hang(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "endless").symlink_to("/dev/zero")
    (tmp_path / "folder").mkdir()
    (tmp_path / "round").symlink_to("round")
    listening = socket.socket(socket.AF_UNIX)
    with listening:
        listening.bind(str(tmp_path / "socket"))
        for name, found in (("pipe", "a pipe"), ("endless", "a device"), ("folder", "a folder"),
                            ("socket", "a socket"), ("round", "no way to read it"),
                            ("none", "no such file"), ("a\0b", "a name that no file can have"),
                            ("x" * 300, "no way to read it (file name too long)")):
            said = refused(partial(open_regular, tmp_path / name, would_do="a picture"))
            assert found in said, said


@pytest.mark.parametrize("name", ["pipe", "endless"])
def test_every_reader_refuses_a_pipe_and_a_device(tmp_path: Path, name: str) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "endless").symlink_to("/dev/zero")
    with files_outside_allowed():
        refused(lambda: read_job(tmp_path / name))
    for key, ending in (("art", ".png"), ("outline", ".csv"), ("outline", ".svg"),
                        ("outline", ".dxf"), ("press", ".toml")):
        job = write_small_job(tmp_path / f"{key}{ending[1:]}")
        (job.parent / f"bad{ending}").symlink_to(tmp_path / name)
        text = job.read_text(encoding="utf-8")
        if key == "art":
            text = text.replace("photo.png", f"bad{ending}")
        elif key == "press":
            text = text.replace("boards = 3", f'boards = 3\npress_profile = "bad{ending}"')
        else:
            text = text.replace('length = "30 cm"', f'outline = "bad{ending}"')
            for gone in ("contact_length", "nose_width", "waist_width", "tail_width"):
                text = "\n".join(line for line in text.split("\n") if not line.startswith(gone))
        job.write_text(text, encoding="utf-8")

        def work(job: Path = job) -> None:
            with files_outside_allowed():
                check_job(job)

        said = refused(work)
        assert "a pipe" in said or "a device" in said, said


def test_no_more_is_read_than_allowed(tmp_path: Path) -> None:
    with (tmp_path / "big").open("wb") as sparse:
        sparse.truncate(100_000_000)
    with pytest.raises(InputProblem, match="more than 1 MB"):
        bytes_of(tmp_path / "big", 1_000_000, would_do="less")


def test_the_output_never_takes_the_place_of_what_it_is_made_from(tmp_path: Path) -> None:
    job = write_small_job(tmp_path / "job")
    before = sorted(p.name for p in job.parent.iterdir())
    for out in (job.parent, tmp_path, job, job.parent / "photo.png", Path("/")):
        with pytest.raises(InputProblem):
            make_proof(job, out)
    # A picture of an earlier output, used as art.
    make_proof(job, job.parent / "out")
    job.write_text(job.read_text(encoding="utf-8").replace('"photo.png"', '"out/proof.png"'),
                   encoding="utf-8")
    with pytest.raises(InputProblem, match=r"the folder that holds proof\.png, which the job"):
        make_proof(job, job.parent / "out")
    assert sorted(p.name for p in job.parent.iterdir()) == sorted([*before, "out"])


def test_a_folder_that_may_not_be_written(tmp_path: Path) -> None:
    for out in (Path("/proc/out"), Path("/dev/null/out"), tmp_path / ("x" * 250),
                tmp_path / "a\udce9b" / "c"):
        job = write_small_job(tmp_path / "job")
        if "\udce9" in str(out):  # bytes that are no UTF-8 are a name like any other
            make_proof(job, out)
        else:
            with pytest.raises(InputProblem):
                make_proof(job, out)
    assert not [p for p in tmp_path.iterdir() if p.name.startswith(".")]
