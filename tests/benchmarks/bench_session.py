"""What an edit costs beside a fresh check: the demo job, one warm process, ratios in one run.

``pytest tests/benchmarks/bench_session.py -s`` prints the table. Each edit is made three times on a
session that has just told all there is; the best of three stands beside the best of three fresh
checks of the same run.
"""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from preflight.units import Angle, Length, Share
from separations.pipeline.calls import CHECK_PPI
from separations.pipeline.fact_stages import FINDINGS, QUICK_FINDINGS
from separations.pipeline.picture_stages import PROOF
from separations.pipeline.session import Session
from separations.uses.mended_job import mend_job

DEMO = Path(__file__).parents[2] / "demo_art" / "fen_lane_158.toml"
TIMES = 3


def _mm(value: float) -> Length:
    return Length(value, f"{value} mm")


def _photo_moved(job: Job, step: int) -> Job:
    return replace(job, art=(replace(job.art[0], offset_along=_mm(step)), *job.art[1:]))


def _note_moved(job: Job, step: int) -> Job:
    moved = replace(job.note[0], label_offset=(_mm(step - 14), _mm(22)))
    return replace(job, note=(moved, *job.note[1:]))


def _angle(job: Job, step: int) -> Job:
    turned = replace(job.ink[2], angle=Angle(22.5 + step / 2, f"{22.5 + step / 2}°"))
    return replace(job, ink=(*job.ink[:2], turned, job.ink[3]))


def _tone_sum(job: Job, step: int) -> Job:
    limit = Share(2.6 - step / 100, f"{260 - step} %")
    return replace(job, separation=replace(job.separation, tone_sum_limit=limit))


#: What is edited, how, and what is asked of findings at once with a small proof, and of all.
EDITS: tuple[tuple[str, Callable[[Job, int], Job], float, float], ...] = (
    ("nothing", lambda job, _: job, 0.01, 0.01), ("photo moved 1 mm", _photo_moved, 0.15, 0.6),
    ("note moved", _note_moved, 0.08, 0.3), ("one ink's angle", _angle, 0.05, 0.5),
    ("tone sum limit", _tone_sum, 0.4, 0.8))


def _seconds(work: Callable[[], object]) -> float:
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


@pytest.mark.benchmark
def test_what_an_edit_costs(tmp_path: Path) -> None:
    job = read_job(DEMO)

    def fresh() -> Session:
        return Session(job, finest_ppi=CHECK_PPI, proof_ppi=50.0)

    fresh().of(FINDINGS)
    check = min(_seconds(lambda: fresh().of(FINDINGS)) for _ in range(TIMES))
    print(f"\nfresh check {check:.2f} s\n{'edit':<18} at once   (asked)   all   (asked)   kept")
    for name, edit, quick_asked, all_asked in EDITS:
        quick, rest, kept = [], [], 0
        for step in range(1, TIMES + 1):
            session = fresh()
            session.all_of(PROOF, QUICK_FINDINGS, FINDINGS)
            changed = session.changed(edit(job, step))
            quick.append(_seconds(lambda: changed.all_of(PROOF, QUICK_FINDINGS)))  # noqa: B023
            rest.append(_seconds(lambda: changed.of(FINDINGS)))  # noqa: B023
            kept = session.keep.held_bytes // 2**20
        first, whole = min(quick) / check, (min(quick) + min(rest)) / check
        print(f"{name:<18} {first:7.3f}   ({quick_asked:.2f})  {whole:6.3f}   ({all_asked:.2f})   "
              f"{kept} MiB")
    path = tmp_path / DEMO.name
    for beside in DEMO.parent.glob("estuary*"):
        shutil.copyfile(beside, tmp_path / beside.name)
    path.write_text(DEMO.read_text(encoding="utf-8").replace("angle = 22.5", "angle = 45"),
                    encoding="utf-8")
    spoilt = min(_seconds(lambda: Session(path, finest_ppi=CHECK_PPI).of(FINDINGS))
                 for _ in range(TIMES))
    mended = []
    for number in range(TIMES):
        mended.append(_seconds(
            lambda: mend_job(path, tmp_path / f"mended{number}.toml")))  # noqa: B023
    print(f"check --mend of a job with one bad angle: {min(mended) / spoilt:.2f} of a check (1.3)")
