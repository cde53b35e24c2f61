"""Densities without colours: n is assumed, and the told uncertainty holds what it may change."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from separations.colour.colorimetry import colour_difference, lab_to_xyz, xyz_to_wide_rgb
from separations.colour.ink_colours import print_model, process_ink
from separations.colour.press_profile import NINETY, profile_curves
from separations.colour.press_profile_file import read_press_profile
from separations.command_line import topsheet
from separations.uses.calibration.assumed_n import N_PLAUSIBLE, shift_by_n
from separations.uses.calibration.calibration_run import calibrate
from separations.uses.calibration.curve_fit import fit_curve
from separations.uses.calibration.patches import Patch
from separations.uses.calibration.wedge_signals import density_signal
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
from tests.plain_halftone_laws import halftone_density

Write = Callable[..., Path]
TONES = np.linspace(0.0, 1.0, 15)


def sheet(job: Job, n: float) -> tuple[tuple[Patch, ...], FloatArray]:
    """Density of the wedges, then CIELAB of everything, of a press with that n."""
    patches, lab = printed_sheet(job, n, 0.0, 3)
    channel = np.array([CHANNELS[p.row // 2] if p.kind == "wedge" else 0 for p in patches])
    density = -np.log10(xyz_to_wide_rgb(lab_to_xyz(lab))[np.arange(len(lab)), channel])
    rng = np.random.default_rng(3)
    density += rng.normal(0.0, 0.01, len(density))
    density[[patch.kind != "wedge" for patch in patches]] = np.nan
    return patches, np.column_stack([density, lab + rng.normal(0.0, 0.3, lab.shape)])


@pytest.mark.parametrize("n", [1.0, 1.2, 1.5, 1.8, 2.0])
def test_twice_the_told_holds_a_press_of_any_plausible_n(n: float) -> None:
    truth = TONES + 0.5 * TONES * (1 - TONES)
    density = halftone_density(truth, 1.4, n)
    curve = fit_curve(density_signal(TONES, density, 2.0))
    part = shift_by_n(TONES, density, curve, np.full(len(TONES), 0.01))
    area = curve.film + 0.5 * curve.film * (1 - curve.film)
    assert (np.abs(curve.printed - area) <= part + 0.005).all()
    assert part[[0, -1]] == pytest.approx(0.0, abs=1e-12)
    assert part.max() > 0.1, "scatter is no small matter at this density"


def test_no_n_between_moves_it_further_than_the_ends() -> None:
    density = halftone_density(TONES + 0.5 * TONES * (1 - TONES), 1.0, 1.6)
    curve = fit_curve(density_signal(TONES, density, 2.0))
    part = shift_by_n(TONES, density, curve, np.full(len(TONES), 0.01))
    for n in np.linspace(*N_PLAUSIBLE, 7):
        moved = np.abs(fit_curve(density_signal(TONES, density, n)).printed - curve.printed)
        assert (moved <= part + 0.004).all()


def test_profile_page_and_terminal_say_so(small_job: Write, tmp_path: Path) -> None:
    job_path = small_job()
    job = read_job(job_path)
    patches, values = sheet(job, 1.4)
    path = write_readings(tmp_path / "m.csv", job, patches, values[:, 0], columns="D")
    out = tmp_path / "press"
    told = CliRunner().invoke(topsheet, ["calibrate", str(job_path), str(path), "--out", str(out)])
    assert told.exit_code == 0, told.output
    assert "note  Yule-Nielsen n was assumed to be 2.0" in told.output
    profile = read_press_profile(out / "press_profile.toml")
    assert any("n was assumed" in note for note in profile.notes)
    page = (out / "calibration.html").read_text(encoding="utf-8")
    assert "of that since n is assumed" in page
    assert "1 (no scatter) to 2 (full scatter)" in page
    for ink, truth in zip(profile.ink, press_curves(), strict=True):
        film, printed = np.array(ink.tone_curve).T
        sd = np.array(ink.curve_uncertainty)
        assert sd.max() > 0.02
        # the press's n is 1.4, and what is told holds that nine times in ten
        assert (np.abs(printed - truth.printed_tone(film)) <= NINETY * sd + 0.01).all()
    # as the page says: a job's colours, made with the same n, are nearer than its areas
    tones = np.array([p.tones for p in patches if p.kind == "wedge"])
    prints = [print_model(WOOD_LAB, [process_ink(name) for name in INKS], n=n,
                          tone_curves=list(profile_curves(profile).values())).predict_lab(tones)
              for n in (profile.n, 1.4)]
    same, other = (colour_difference(lab, press_model(1.4).predict_lab(tones)).mean()
                   for lab in prints)
    assert same < 0.5 * other


@pytest.mark.parametrize("wedge_colours", [True, False])
def test_nothing_is_added_where_colours_tell_n(
    small_job: Write, tmp_path: Path, wedge_colours: bool
) -> None:
    """Colours of the wedges, or of wood, solids and tints beside densities of the wedges."""
    job_path = small_job()
    job = read_job(job_path)
    patches, values = sheet(job, 1.4)
    if not wedge_colours:
        between = [p.kind == "wedge" and 0 < max(p.percent) < 100 for p in patches]
        values[between, 1:] = np.nan
    path = write_readings(tmp_path / "m.csv", job, patches, values, columns="DLab")
    found = calibrate(job_path, path, tmp_path / "press")
    assert found.profile.n_is_fitted
    assert found.profile.n == pytest.approx(1.4, abs=0.2)
    assert found.assumed == ()
    assert not any("assumed" in note for note in found.profile.notes)
    for ink in found.fit.inks:
        assert ink.read_as == ("colour" if wedge_colours else "density")
        assert (ink.n_part == 0.0).all()
        assert np.array_equal(ink.told_sd, ink.curve.sd)
    assert "since n was assumed" not in (
        tmp_path / "press" / "calibration.html").read_text(encoding="utf-8")
