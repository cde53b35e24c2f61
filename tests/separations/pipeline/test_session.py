"""Sessions: what a change does not touch is kept, and what is told never depends on it."""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import cv2
import pytest
import tomlkit

from preflight.checks.catalogue import ALL_SLOW, CHECKS
from preflight.input_problem import InputProblem
from preflight.job_file.job_part import EVERYTHING, reads_of
from preflight.job_file.job_reader import read_job
from preflight.units import Angle
from separations.pipeline import fact_stages, kept_results, picture_stages, stages
from separations.pipeline import session as session_module
from separations.pipeline.fact_stages import FINDINGS, HOLD, QUICK_FINDINGS, TINT_MOIRE
from separations.pipeline.kept_results import KeptResults, blocks_held
from separations.pipeline.picture_stages import PROOF
from separations.pipeline.session import Session
from separations.pipeline.stage import InkStage, Look, Stage, Undeclared
from separations.pipeline.stages import BOARD, FILM_CONTENT, LAID_OUT, LATTICES, PHOTO_TONES
from tests.separations.pipeline.job_edits import edited, told, write_folder
from tests.small_art import small_photo

Write = Callable[..., Path]
ROOT = Path(__file__).parents[3]
ALL_STAGES = {name: stage for module in (stages, fact_stages, picture_stages)
              for name, stage in vars(module).items() if isinstance(stage, Stage)}


def quick(path: Path) -> Session:
    return Session(path, finest_ppi=72.0, proof_ppi=50.0)


@contextmanager
def counted(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[str]]:
    """Names of the stages that are made within the block."""
    made: list[str] = []
    run = session_module._Asking._run

    def named(asking: session_module._Asking, step: session_module._Step) -> object:
        made.append(step.stage.name)
        return run(asking, step)

    with monkeypatch.context() as patched:
        patched.setattr(session_module._Asking, "_run", named)
        yield made


@pytest.mark.parametrize("name", sorted(ALL_STAGES))
def test_each_stage_names_keys_that_jobs_have(name: str) -> None:
    stage = ALL_STAGES[name]
    assert stage.job_reads or not stage.reads.split() or stage.settings
    assert len({need.name for need in stage.needs}) == len(stage.needs)


def test_stages_have_names_of_their_own() -> None:
    names = [stage.name for stage in set(ALL_STAGES.values())]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("word", ["titel", "film.reslution", "art[photos]", "ink.angel",
                                  "board[own]", "note[photo]"])
def test_keys_that_no_job_has_are_refused(word: str) -> None:
    with pytest.raises(ValueError, match="is no key of a job"):
        reads_of(word)


@pytest.mark.parametrize(("reads", "peek"), [
    ("title", lambda job: job.film), ("film.width", lambda job: job.film.resolution),
    ("ink.name", lambda job: job.ink[0].angle), ("art[photo]", lambda job: job.art[1].ink),
    ("art[line]", lambda job: job.art[0].turn), ("wood.lab", lambda job: job.wood.name),
    ("ink.name ink[own].angle", lambda job: job.ink[0].angle),
])
def test_a_stage_cannot_read_what_it_did_not_name(
        small_job: Write, reads: str, peek: Callable[[object], object]) -> None:
    part = Session(small_job()).part(Stage("peek", lambda look: look.job, reads=reads), 2)
    with pytest.raises(AttributeError):
        peek(part.job)


def test_named_keys_are_there(small_job: Write) -> None:
    session = Session(small_job())
    part = session.part(Stage("peek", lambda look: look.job, reads=EVERYTHING), None)
    assert part.job == session.job
    own = session.part(Stage("peek", lambda look: look.job, reads="ink.name ink[own].angle"), 2)
    assert own.job.ink[2].angle == session.job.ink[2].angle
    assert [ink.name for ink in own.job.ink] == ["Yellow", "Magenta", "Cyan", "Black"]
    photo = session.part(Stage("peek", lambda look: look.job, reads="art[photo]"), None)
    assert photo.job.art[0] == session.job.art[0]
    assert photo.files == (session.job.path.parent / "photo.png",)


def test_a_stage_asks_only_for_what_it_says_it_needs(small_job: Write) -> None:
    stage: Stage[object] = Stage("nosy", lambda look: look.of(BOARD))
    with pytest.raises(Undeclared, match="nosy does not say that it needs board"):
        Session(small_job()).of(stage)


def test_settings_that_are_not_named_are_not_there(small_job: Write) -> None:
    stage: Stage[object] = Stage("nosy", lambda look: look.finest_ppi)
    with pytest.raises(AttributeError):
        Session(small_job()).of(stage)


def test_a_second_look_makes_nothing(small_job: Write, monkeypatch: pytest.MonkeyPatch) -> None:
    session = quick(small_job())
    first = session.all_of(PROOF, FINDINGS)
    with counted(monkeypatch) as made:
        again = session.changed(session.job).all_of(PROOF, FINDINGS)
    assert made == []
    assert again[0] is first[0]
    assert again[1] is first[1]


def test_an_angle_touches_neither_lattice_nor_planes(
        small_job: Write, monkeypatch: pytest.MonkeyPatch) -> None:
    session = quick(small_job())
    session.all_of(PROOF, FINDINGS)
    job = session.job
    turned = replace(job, ink=(*job.ink[:2], replace(job.ink[2], angle=Angle(30.0, "30°")),
                               job.ink[3]))
    with counted(monkeypatch) as made:
        session.changed(turned).all_of(PROOF, FINDINGS)
    assert PROOF.name not in made
    assert PHOTO_TONES.name not in made
    assert LATTICES.name not in made
    assert TINT_MOIRE.name in made
    assert made.count(FILM_CONTENT.name) == 1, "only the turned ink's film"


def test_a_moved_photo_leaves_lattice_and_tint_moire(
        small_job: Write, monkeypatch: pytest.MonkeyPatch) -> None:
    path = small_job()
    session = quick(path)
    session.all_of(PROOF, FINDINGS)
    moved = read_job(small_job(("turn = 90\n[[art]]", 'turn = 90\noffset_along = "1 mm"\n[[art]]')))
    with counted(monkeypatch) as made:
        session.changed(moved).all_of(PROOF, FINDINGS)
    assert PROOF.name in made
    assert not {LATTICES.name, TINT_MOIRE.name, stages.LINE_PICTURES.name} & set(made)


def test_a_file_written_anew_is_seen(small_job: Write) -> None:
    path = small_job()
    session = quick(path)
    before, = session.all_of(PROOF)
    cv2.imwrite(str(path.parent / "photo.png"), small_photo()[:, ::-1, ::-1])
    after, = session.all_of(PROOF)
    assert (before != after).any()
    fresh, = quick(path).all_of(PROOF)
    assert (after == fresh).all()


def test_quick_findings_come_without_slow_facts_and_say_so(
        small_job: Write, monkeypatch: pytest.MonkeyPatch) -> None:
    session = quick(small_job())
    with counted(monkeypatch) as made:
        first = session.of(QUICK_FINDINGS)
    assert not {HOLD.name, TINT_MOIRE.name} & set(made)
    assert first.pending == ALL_SLOW
    later = session.of(FINDINGS)
    slow = {check.find for check in CHECKS if check.waits_for}
    assert len(slow) == 16
    assert set(first.findings) < set(later)


def test_a_fault_is_the_same_whichever_stage_fails_first(small_job: Write) -> None:
    path = small_job()
    (path.parent / "photo.png").write_bytes(b"no picture")
    (path.parent / "lines.png").unlink()
    told_of = set()
    for _ in range(6):
        with pytest.raises(InputProblem) as caught:
            quick(path).all_of(PROOF, FINDINGS)
        told_of.add(caught.value.sentence)
    assert len(told_of) == 1


def test_nothing_is_kept_of_what_failed(small_job: Write) -> None:
    path = small_job()
    session = quick(path)
    photo = (path.parent / "photo.png").read_bytes()
    (path.parent / "photo.png").write_bytes(photo[:4000])
    with pytest.raises(InputProblem):
        session.of(PROOF)
    (path.parent / "photo.png").write_bytes(photo)
    assert session.of(PROOF).shape


def test_two_threads_get_one_result(small_job: Write) -> None:
    session, calls, found = quick(small_job()), list[int](), list[object]()

    def make(_: Look) -> object:
        calls.append(1)
        time.sleep(0.05)
        return object()

    stage: Stage[object] = Stage("slow", make)
    threads = [threading.Thread(target=lambda: found.append(session.of(stage)))
               for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len({id(one) for one in found}) == 1
    assert calls == [1]


class Clock:
    """A clock that goes on only while something is made."""

    def __init__(self) -> None:
        self.now = 0.0

    def monotonic(self) -> float:
        return self.now

    def making(self, held: int, takes_s: float) -> Callable[[], bytes]:
        def make() -> bytes:
            self.now += takes_s
            return bytes(held)
        return make


def test_results_are_dropped_when_there_are_too_many(monkeypatch: pytest.MonkeyPatch) -> None:
    clock = Clock()
    monkeypatch.setattr(kept_results, "time", clock)
    keep = KeptResults(1000)
    for name in "abcd":
        keep.result(name, clock.making(200, 1.0))
    keep.result("e", clock.making(400, 2.0))
    assert keep.held_bytes <= 1000
    assert not keep.kept("a"), "of results alike the one not asked for longest goes"
    assert keep.kept("e")
    assert keep.kept("c")
    keep.result("large", clock.making(5000, 90.0))
    assert not keep.kept("large"), "larger than all that may be kept"


def test_what_holds_much_for_its_time_goes_first(monkeypatch: pytest.MonkeyPatch) -> None:
    clock = Clock()
    monkeypatch.setattr(kept_results, "time", clock)
    keep = KeptResults(1000)
    keep.result("small", clock.making(50, 1.0))
    for number in range(3):
        keep.result(f"film {number}", clock.making(700, 1.0))
        assert keep.kept(f"film {number}")
    assert keep.kept("small")
    for number in range(60):
        keep.result(f"newer {number}", clock.making(300, 1.0))
    assert not keep.kept("small"), "what nobody asks for goes in the end"


def test_a_session_that_keeps_nothing_tells_the_same(small_job: Write) -> None:
    path = small_job()
    assert told(Session(path, keep=KeptResults(0)), False) == told(Session(path), False)


def test_shared_arrays_are_counted_once() -> None:
    picture = small_photo()
    assert sum(blocks_held((picture, picture[5:], picture)).values()) < picture.nbytes + 1000
    keep = KeptResults(2 * picture.nbytes)
    for row in range(5):
        keep.result(str(row), lambda: picture[row:])  # noqa: B023
    assert keep.held_bytes == picture.nbytes
    keep.forget(["0"])
    assert keep.held_bytes == picture.nbytes
    keep.forget()
    assert keep.held_bytes == 0


def test_a_look_is_handed_its_own_ink(small_job: Write) -> None:
    session = Session(small_job())
    names = session.of(InkStage("names", lambda look: look.job.ink[look.ink].name,
                                       reads="ink[own].name"))
    assert names == tuple(ink.name for ink in session.of(LAID_OUT).job.ink)


class FreshProcess:
    """Another process, which opens a session of its own for each job it is asked about."""

    def __init__(self) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.separations.pipeline.job_edits"], cwd=ROOT, text=True,
            stdin=subprocess.PIPE, stdout=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONHASHSEED": "7"})

    def told(self, path: Path, slow: bool) -> str:
        """What it tells of a job file."""
        assert self._process.stdin
        assert self._process.stdout
        self._process.stdin.write(json.dumps([str(path), slow]) + "\n")
        self._process.stdin.flush()
        return self._process.stdout.readline().strip()

    def end(self) -> None:
        """Let it go."""
        self._process.communicate()


@pytest.fixture(scope="module")
def fresh() -> Iterator[FreshProcess]:
    process = FreshProcess()
    yield process
    process.end()


def _sequences(count: int) -> list[object]:
    return [pytest.param(seed, marks=[] if seed < 4 else pytest.mark.long)
            for seed in range(count)]


@pytest.mark.parametrize("seed", _sequences(300))
def test_edits_lead_to_what_a_fresh_process_tells(
        seed: int, tmp_path: Path, fresh: FreshProcess) -> None:
    rng = random.Random(seed)
    path = write_folder(tmp_path / "job")
    session = Session(read_job(path))
    texts = [path.read_text(encoding="utf-8")]
    for number in range(rng.randint(3, 7)):
        undo = rng.random() < 0.2
        document = tomlkit.parse(texts[-2] if undo and len(texts) > 1 else texts[-1])
        job = edited(rng, path, document)
        if job is None:
            continue
        texts.append(tomlkit.dumps(document))
        session = session.changed(job)
        if number % 2:
            told(session, False)
    path.write_text(texts[-1], encoding="utf-8")
    slow = seed % 5 == 0
    ours: list[str] = []
    threads = [threading.Thread(target=lambda: ours.append(told(session, slow)))
               for _ in range(1 + seed % 2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert set(ours) == {fresh.told(path, slow)}
