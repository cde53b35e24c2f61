"""Separation and proof predict every overprint alike: one model, of which each takes its inks."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from separations.colour.colorimetry import colour_difference
from separations.colour.job_inks import photo_model, separation_model, whole_model
from separations.colour.press_profile import (
    PressInk,
    PressOverprint,
    PressProfile,
)
from separations.colour.press_profile_file import press_profile_toml
from separations.colour.print_model import PrintModel
from separations.pipeline.picture_stages import PROOF_MODELS
from separations.pipeline.session import Session

Write = Callable[..., Path]
FIRST = '[[ink]]\nname = "Yellow"'
WHITE = ('[[ink]]\nname = "White"\ncolour = "opaque white"\nprints = "underbase"\nangle = 37.5\n')
RUST = ('[[ink]]\nname = "Rust"\nover_white = [38, 34, 30]\nopacity = 0.6\n'
        'prints = "line work"\nangle = 0\n')
PROFILED = ("boards = 3", 'boards = 3\npress_profile = "press.toml"')


def profile() -> PressProfile:
    curve = ((0.0, 0.0), (0.5, 0.64), (1.0, 1.0))
    return PressProfile(
        title="Marsh light", date=datetime.date(2026, 11, 25), n=1.7, n_is_fitted=True,
        wood_lab=(71.0, 7.0, 27.0),
        ink=tuple(PressInk(name=name, tone_curve=curve, curve_uncertainty=(0.0, 0.0, 0.0),
                           solid_lab=lab) for name, lab in (
            ("White", (88.0, 0.0, 6.0)), ("Yellow", None), ("Cyan", (42.0, -38.0, -16.0)))),
        overprint=(PressOverprint(inks=("White", "Cyan"), lab=(52.0, -36.0, -40.0)),
                   PressOverprint(inks=("Yellow", "Cyan"), lab=(40.0, -45.0, 30.0))))


JOBS = pytest.mark.parametrize("words", [
    ((FIRST, FIRST),), ((FIRST, WHITE + FIRST),), ((FIRST, RUST + WHITE + FIRST),),
    ((FIRST, WHITE + RUST + FIRST), PROFILED)], ids=["process", "white", "rust", "profiled"])


def job_of(small_job: Write, words: tuple[tuple[str, str], ...]) -> Path:
    path = small_job(*words)
    (path.parent / "press.toml").write_text(press_profile_toml(profile()), encoding="utf-8")
    return path


def apart(job: Job, part: PrintModel, whole: PrintModel, prints: tuple[str, ...],
          solid: tuple[str, ...] = ()) -> float:
    """Greatest ΔE00 of random tones by a part's model and by the whole's."""
    tones = np.random.default_rng(3).random((500, part.ink_count))
    tones[:200] = tones[:200] > 0.5  # solids on each other
    all_tones = np.zeros((500, len(job.ink)))
    all_tones[:, [ink.prints in prints for ink in job.ink]] = tones
    all_tones[:, [ink.prints in solid for ink in job.ink]] = 1.0
    return float(colour_difference(part.predict_lab(tones), whole.predict_lab(all_tones)).max())


@JOBS
def test_what_separates_predicts_what_the_proof_does(
        small_job: Write, words: tuple[tuple[str, str], ...]) -> None:
    path = job_of(small_job, words)
    job, proof = read_job(path), Session(path).of(PROOF_MODELS).wood
    assert apart(job, separation_model(job), proof, ("underbase", "photo")) < 1e-9
    assert apart(job, photo_model(job), proof, ("photo",), solid=("underbase",)) < 1e-9
    assert np.array_equal(whole_model(job).primaries_rgb, proof.primaries_rgb)
