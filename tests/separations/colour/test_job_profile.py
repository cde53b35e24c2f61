"""A job that refers to a press profile stands on what was measured."""

from __future__ import annotations

import datetime
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from preflight.findings import Grade
from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from separations.colour.colorimetry import colour_difference
from separations.colour.job_inks import curve_of, photo_model, whole_model
from separations.colour.press_profile import PressInk, PressOverprint, PressProfile
from separations.colour.press_profile_file import press_profile_toml
from separations.ink_need.ink_estimate import Range
from separations.pipeline.calls import check_job, estimate_job_ink
from tests.small_art import write_small_job

CURVE = ((0.0, 0.0), (0.5, 0.7), (1.0, 1.0))
PROFILE = PressProfile(
    title="Marsh light", date=datetime.date(2026, 11, 25), n=1.7, n_is_fitted=True,
    ink=tuple(PressInk(name=name, tone_curve=CURVE, curve_uncertainty=(0.0, 0.01, 0.0),
                       solid_lab=lab, transfer=transfer)
              for name, lab, transfer in (
                  ("Yellow", (70.0, 8.0, 80.0), Range(low=0.4, likely=0.5, high=0.6)),
                  ("Cyan", (42.0, -38.0, -16.0), None))),
    overprint=(PressOverprint(inks=("Yellow", "Cyan"), lab=(40.0, -45.0, 30.0)),),
    wood_lab=(74.0, 6.0, 26.0))


@pytest.fixture
def job_path(tmp_path: Path) -> Path:
    path = write_small_job(tmp_path, ("boards = 3", 'boards = 3\npress_profile = "press.toml"'))
    (tmp_path / "press.toml").write_text(press_profile_toml(PROFILE), encoding="utf-8")
    return path


def without_profile(job: Job) -> Job:
    return replace(job, press_profile=None)


def test_curves_solids_and_overprints_stand_as_read(job_path: Path) -> None:
    job = read_job(job_path)
    yellow, magenta, cyan, _ = job.ink
    assert curve_of(job, yellow).printed_tone(0.5) == pytest.approx(0.7)
    assert curve_of(job, magenta).name == "published screen curve"
    assert curve_of(job, replace(cyan, tone_curve="straight")).printed_tone(
        0.5) == pytest.approx(0.7)
    model = photo_model(job)
    np.testing.assert_allclose(model.primaries_lab[0b001], (70, 8, 80), atol=1e-6)
    np.testing.assert_allclose(model.primaries_lab[0b101], (40, -45, 30), atol=1e-6)
    assert model.measured.nonzero()[0].tolist() == [0, 0b001, 0b100, 0b101]
    assert model.n == pytest.approx(1.7)
    plain = photo_model(without_profile(job))
    np.testing.assert_allclose(model.primaries_lab[0b010], plain.primaries_lab[0b010])
    assert not whole_model(job, readings=False).measured[1:].any()


def test_measured_inks_need_no_note_and_weighed_ink_counts(
    job_path: Path, tmp_path: Path
) -> None:
    findings = check_job(job_path).findings
    notes = [f for f in findings if f.id == "tone-curve"]
    assert [f.subjects for f in notes] == [("Magenta", "Black")]
    fits = [f for f in findings
            if f.id == "profile-fits"]
    assert [(f.subjects, f.grade) for f in fits] == [(("Yellow", "Cyan"), Grade.NOTE)]
    weighed = estimate_job_ink(job_path, tmp_path / "ink").estimates[0]
    deposit = weighed.board_ml.likely / (weighed.inked_cm2 / 1e4)
    assert deposit == pytest.approx(0.5 * weighed.ink_volume_um)


def test_a_profile_that_is_not_there(tmp_path: Path) -> None:
    path = write_small_job(tmp_path, ("boards = 3", 'boards = 3\npress_profile = "none.toml"'))
    with pytest.raises(InputProblem, match=r"none\.toml: found"):
        check_job(path)


def test_what_the_job_tells_otherwise_is_named_and_gives_way(job_path: Path) -> None:
    """Wood, a solid and a curve told by the job: the profile's stand, the finding names both."""
    profile = replace(PROFILE, wood_lab=(69.0, 9.0, 24.0))
    job_path.with_name("press.toml").write_text(press_profile_toml(profile), encoding="utf-8")
    text = job_path.read_text(encoding="utf-8").replace(
        'colour = "process cyan"', 'over_white = [50, -35, -45]\ntone_curve = "straight"')
    job_path.write_text(text + "[wood]\nlab = [74, 6, 26]\n", encoding="utf-8")
    job = read_job(job_path)
    np.testing.assert_allclose(whole_model(job).substrate_lab, (69, 9, 24), atol=1e-6)
    np.testing.assert_allclose(whole_model(job).primaries_lab[0b100], (42, -38, -16), atol=1e-6)
    told = {f.subject: f for f in check_job(job_path).findings if f.id == "profile-stands"}
    assert list(told) == ["bare wood", "solid of Yellow", "solid of Cyan", "tone curve of Cyan"]
    assert "For the solid of Yellow the job has 'process yellow', L* " in told[
        "solid of Yellow"].says
    assert "nothing needs to be done" in told["solid of Yellow"].mend
    assert "take the over_white of Cyan out" in told["solid of Cyan"].mend
    wood = told["bare wood"]
    assert wood.measured.value == pytest.approx(
        float(colour_difference((74, 6, 26), (69, 9, 24))))
    assert "the job has L* 74.0, a* 6.0, b* 26.0, the press profile L* 69.0" in wood.says
    assert "50 % printed as 50.0 %, the press profile 50 % printed as 70.0 %" in told[
        "tone curve of Cyan"].says
    assert all(f.grade is Grade.NOTE for f in told.values())
    job_path.write_text(text.replace('\ntone_curve = "straight"', ""), encoding="utf-8")
    told = {f.subject: f for f in check_job(job_path).findings if f.id == "profile-stands"}
    assert list(told) == ["solid of Yellow", "solid of Cyan"]
    job_path.write_text(text.replace('\ntone_curve = "straight"', "").replace(
        "[halftone]\n", '[halftone]\ntone_curve = "straight"\n'), encoding="utf-8")
    told = {f.subject: f for f in check_job(job_path).findings if f.id == "profile-stands"}
    assert list(told) == ["solid of Yellow", "tone curve of Yellow", "solid of Cyan",
                          "tone curve of Cyan"]
    assert "take the tone_curve in [halftone] out" in told["tone curve of Yellow"].mend


def test_a_profile_of_another_ink_set_is_refused(job_path: Path) -> None:
    other = replace(PROFILE, ink=tuple(replace(ink, name=f"{ink.name} 2") for ink in PROFILE.ink),
                    overprint=())
    place = job_path.parent / "press.toml"
    place.write_text(press_profile_toml(other), encoding="utf-8")
    with pytest.raises(InputProblem) as found:
        whole_model(read_job(job_path))
    assert found.value.sentence == (
        f"{place}: found a profile of 'Yellow 2', 'Cyan 2'; one of the job's inks, 'Yellow', "
        "'Magenta', 'Cyan', 'Black', by these names, would do.")
