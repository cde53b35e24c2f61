"""A made-up press, measured with noise and slips: what calibration finds of it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from separations.colour.colorimetry import colour_difference, lab_to_xyz, xyz_to_wide_rgb
from separations.colour.ink_colours import print_model, process_ink
from separations.colour.job_inks import curve_of
from separations.colour.press_profile import measured_overprints, profile_curves
from separations.colour.press_profile_file import read_press_profile
from separations.command_line import topsheet
from separations.uses.calibration.calibration_run import calibrate
from separations.uses.calibration.patches import Patch
from separations.uses.calibration.profile_of_fit import unread_told
from separations.uses.calibration.readings import Readings
from tests.made_up_press import (
    CHANNELS,
    INKS,
    WOOD_LAB,
    FloatArray,
    press_curves,
    press_model,
    printed_sheet,
    write_readings,
)

Write = Callable[..., Path]
FINE = np.linspace(0.0, 1.0, 101)


def place(patches: tuple[Patch, ...], name: str) -> int:
    return next(k for k, patch in enumerate(patches) if patch.name == name)


def densities(job: Job, n: float, seed: int) -> tuple[tuple[Patch, ...], FloatArray]:
    """Wedge densities of a press whose wedges follow Yule and Nielsen in density."""
    patches, lab = printed_sheet(job, n, 0.0, seed)
    rows = np.array([patch.row // 2 if patch.kind == "wedge" else 0 for patch in patches])
    channel = np.array(CHANNELS)[rows]
    density = -np.log10(xyz_to_wide_rgb(lab_to_xyz(lab))[np.arange(len(lab)), channel])
    density += np.random.default_rng(seed).normal(0.0, 0.01, len(density))
    density[[patch.kind != "wedge" for patch in patches]] = np.nan
    return patches, density


@pytest.mark.parametrize("n", [1.3, 2.2])
def test_colours_tell_curves_n_solids_and_overprints(
    small_job: Write, tmp_path: Path, n: float
) -> None:
    job_path = small_job()
    job = read_job(job_path)
    patches, lab = printed_sheet(job, n, 0.3, 5)
    path = write_readings(tmp_path / "m.csv", job, patches, lab, mark=";")
    found = calibrate(job_path, path, tmp_path / "press")
    assert found.suspects == ()
    profile = read_press_profile(tmp_path / "press" / "press_profile.toml")
    assert profile == found.profile
    assert profile.n_is_fitted
    assert {(ink.threads_per_cm, ink.thread_um, ink.ruling_lpcm) for ink in profile.ink} == {
        (120.0, 34.0, 17.717)}
    assert profile.n == pytest.approx(n, abs=0.21)
    for curve, truth in zip(profile_curves(profile).values(), press_curves(), strict=True):
        assert np.abs(curve.printed_tone(FINE) - truth.printed_tone(FINE)).mean() <= 0.01
    assert profile.wood_lab is not None
    assert colour_difference(profile.wood_lab, WOOD_LAB) < 0.3
    # what a job would make of the profile prints as the press does, on tints never printed
    called = dict(zip((ink.name for ink in job.ink), INKS, strict=True))
    model = print_model(profile.wood_lab, [process_ink(name) for name in INKS],
                        tone_curves=list(profile_curves(profile).values()), n=profile.n,
                        measured_overprints=measured_overprints(profile, called))
    assert model.measured.all()
    tones = np.random.default_rng(0).random((300, 4))
    away = colour_difference(model.predict_lab(tones), press_model(n).predict_lab(tones))
    assert away.mean() < 0.7
    assert away.max() < 2.5


def test_densities_tell_curves_for_full_scatter(small_job: Write, tmp_path: Path) -> None:
    job_path = small_job()
    job = read_job(job_path)
    patches, density = densities(job, 2.0, 3)
    path = write_readings(tmp_path / "m.csv", job, patches, density, columns="D")
    found = calibrate(job_path, path, tmp_path / "press")
    assert found.suspects == ()
    assert (found.profile.n, found.profile.n_is_fitted) == (2.0, False)
    assert found.profile.wood_lab is None
    assert found.profile.overprint == ()
    assert all((ink.solid_density or 0) > 0.3 for ink in found.profile.ink)
    for curve, truth in zip(profile_curves(found.profile).values(), press_curves(), strict=True):
        assert np.abs(curve.printed_tone(FINE) - truth.printed_tone(FINE)).mean() <= 0.012


def test_a_densitometers_pairs_typed_in_print_as_its_readings_do(
    small_job: Write, tmp_path: Path
) -> None:
    """Murray-Davies tone values of a wedge, worked here from its densities, against its profile."""
    job_path = small_job()
    job = read_job(job_path)
    patches, density = densities(job, 2.0, 3)
    path = write_readings(tmp_path / "m.csv", job, patches, density, columns="D")
    found = calibrate(job_path, path, tmp_path / "press")
    black = [place for place, patch in enumerate(patches)
             if patch.kind == "wedge" and patch.row // 2 == 3]
    films = np.array([patches[place].percent[3] for place in black])
    means = {film: density[black][films == film].mean() for film in sorted(set(films))}
    light = {film: 10.0 ** -(read - means[0]) for film, read in means.items()}
    pairs = ", ".join(f"[{film:g}, {100 * (1 - light[film]) / (1 - light[100]):.2f}]"
                      for film in (10, 20, 30, 40, 50, 60, 70, 80, 90))
    text = job_path.read_text(encoding="utf-8")
    job_path.write_text(text.replace("[halftone]\n", f"[halftone]\ntone_curve = [{pairs}]\n"
                                     'tone_curve_tells = "tone value"\n'), encoding="utf-8")
    typed = read_job(job_path)
    told = curve_of(typed, typed.ink[3]).printed_tone(FINE)
    assert np.abs(told - FINE).max() > 0.1, "the press gains"
    measured = profile_curves(found.profile)["Black"].printed_tone(FINE)
    assert np.abs(told - measured).max() <= 0.02
    assert np.abs(told - measured).mean() <= 0.007


def test_patches_that_were_not_read_are_named(small_job: Write) -> None:
    job = read_job(small_job())
    patches, density = densities(job, 2.0, 3)
    assert np.isnan(density[120:]).all(), "inks on each other have none"
    lab = np.full((len(patches), 3), np.nan)
    assert unread_told(patches, Readings(density=density, lab=lab)) == ()
    density[[3, 17]] = np.nan
    assert unread_told(patches, Readings(density=density, lab=lab)) == (
        "Not read, 2 of 120 patches: A4, B3.",)
    lab[0] = (70.0, 5.0, 20.0)  # colours are read: those of overprints are asked for, too
    (says,) = unread_told(patches, Readings(density=density, lab=lab))
    assert says.startswith("Not read, 22 of 140 patches: A4, B3, J1, J2, J3,")
    assert says.endswith("and more.")


@pytest.mark.long
def test_the_profile_tells_the_varnish_that_the_patches_were_read_under(
        small_job: Write, tmp_path: Path) -> None:
    job_path = small_job(("[mesh]", '[finish]\nvarnish = "gloss"\n[mesh]'))
    patches, density = densities(read_job(job_path), 2.0, 3)
    path = write_readings(tmp_path / "m.csv", read_job(job_path), patches, density, columns="D")
    for varnished, told in ((True, "gloss"), (False, "none")):
        found = calibrate(job_path, path, tmp_path / "press", varnished=varnished)
        assert found.profile.varnish == told
        assert read_press_profile(tmp_path / "press" / "press_profile.toml") == found.profile
    with pytest.raises(InputProblem, match=r"finish\.varnish: found no varnish"):
        calibrate(small_job(), path, tmp_path / "press", varnished=True)


def test_slips_are_named(small_job: Write, tmp_path: Path) -> None:
    job_path = small_job()
    job = read_job(job_path)
    patches, lab = printed_sheet(job, 1.8, 0.3, 7)
    at = {name: place(patches, name) for name in ("A6", "A9", "G11", "J3", "J5", "E4")}
    for one, other in (("A6", "A9"), ("J3", "J5")):
        lab[[at[one], at[other]]] = lab[[at[other], at[one]]]
    lab[at["G11"], 0] += 12.0
    lab[at["E4"]] = lab[at["E4"]] + [15.0, 0.0, 0.0]
    path = write_readings(tmp_path / "m.csv", job, patches, lab)
    found = calibrate(job_path, path, tmp_path / "press")
    says = {suspect.patch: suspect.says for suspect in found.suspects}
    assert set(says) == set(at)
    assert "fit A9 and the other way round" in says["A6"]
    assert "fit J5 and the other way round" in says["J3"]
    assert "of Black where the others make it" in says["G11"]
    assert "lighter than bare wood" in says["E4"]
    assert {s.patch for s in found.suspects if s.left_out} == {"A6", "A9", "G11", "E4"}
    for curve, truth in zip(profile_curves(found.profile).values(), press_curves(), strict=True):
        assert np.abs(curve.printed_tone(FINE) - truth.printed_tone(FINE)).mean() <= 0.012
    assert len(found.profile.overprint) == 9, "the two exchanged ones are left out"
    page = (tmp_path / "press" / "calibration.html").read_text(encoding="utf-8")
    assert all(f"<td>{name}</td>" in page for name in at)
    assert page.count("<svg") == 8
    assert "http" not in page
    assert "<script" not in page


def test_what_cannot_be_fitted_leaves_nothing(small_job: Write, tmp_path: Path) -> None:
    job_path = small_job()
    job = read_job(job_path)
    patches, density = densities(job, 2.0, 3)
    for spoil, says in ((slice(33, 60), "Magenta: found"), (slice(0, 30), "Yellow: found")):
        spoilt = density.copy()
        spoilt[spoil] = np.nan if spoil.start else 0.3
        path = write_readings(tmp_path / "m.csv", job, patches, spoilt, columns="D")
        with pytest.raises(InputProblem, match=says):
            calibrate(job_path, path, tmp_path / "press")
        assert not (tmp_path / "press").exists()


def test_weighed_ink_and_the_command(small_job: Write, tmp_path: Path) -> None:
    job_path = small_job()
    job = read_job(job_path)
    patches, lab = printed_sheet(job, 1.8, 0.3, 7)
    lab[place(patches, "G11"), 0] += 12.0
    measured = write_readings(tmp_path / "m.csv", job, patches, lab)
    weighed = tmp_path / "weighed.csv"
    weighed.write_text("ink;boards;grams used;left in screen grams\nCyan;300;118,5;100\n",
                       encoding="utf-8")
    out = tmp_path / "press"
    told = CliRunner().invoke(topsheet, ["calibrate", str(job_path), str(measured), "--weighed",
                                         str(weighed), "--out", str(out)])
    assert told.exit_code == 0, told.output
    assert "look  patch G11: Reads as" in told.output
    profile = read_press_profile(out / "press_profile.toml")
    assert [ink.name for ink in profile.ink if ink.transfer] == ["Cyan"]
    transfer = profile.ink[2].transfer
    assert transfer
    assert transfer.low < transfer.likely < transfer.high
    assert "Transfer factor" in (out / "calibration.html").read_text(encoding="utf-8")
    told = CliRunner().invoke(topsheet, ["wedge", str(job_path), "--out", str(tmp_path / "w")])
    assert told.exit_code == 0, told.output
    assert (tmp_path / "w" / "patches.csv").exists()
