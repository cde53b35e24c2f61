"""Jobs whose wood and inks are spectra: what they look like, by which model, under which light."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from preflight.input_problem import InputProblem
from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from preflight.job_file.job_revision import job_revision
from separations.colour.colorimetry import colour_difference, xyz_to_lab
from separations.colour.figure_bases import resting_figures
from separations.colour.job_inks import (
    ink_colour,
    job_spectra,
    photo_model,
    printed_wood_lab,
    whole_model,
)
from separations.colour.light_changes import light_changes, light_csv, printed_spectra
from separations.colour.lights import light_named
from separations.colour.varnish import model_under
from tests.small_art import write_small_job
from tests.spectral_inks import ink_rows, write_csv, write_spectral_job

D50 = light_named("D50")


@pytest.fixture
def job(tmp_path: Path) -> Job:
    return read_job(write_spectral_job(tmp_path))


@pytest.mark.parametrize("name", ["D50", "D65", "A", "12000 K"])
@pytest.mark.parametrize("n", [1.0, 1.7, 2.0])
def test_tints_are_near_those_of_the_spectra(job: Job, name: str, n: float) -> None:
    """The three channels that separations use, against the sum in every band."""
    printed, light = replace(printed_spectra(job), n=n), light_named(name)
    tones = np.random.default_rng(3).random((2000, 4))
    tones = np.concatenate((tones[tones.sum(axis=1) <= 2.6], np.eye(4), 0.5 * np.eye(4)))
    told = xyz_to_lab(light.xyz(printed.spectra(tones)) @ light.to_d50.T)
    off = colour_difference(printed.under(light).predict_lab(tones), told)
    assert off.mean() <= (0.001 if n == 1.0 else 0.3)
    assert off.max() <= (0.01 if n == 1.0 else 1.0)
    assert off[-8:].max() <= 0.2  # solids and single tints


def test_wood_and_overprints_are_those_of_the_spectra(job: Job) -> None:
    printed = printed_spectra(job)
    np.testing.assert_allclose(whole_model(job).primaries_lab, D50.lab(printed.primaries),
                               atol=0.02)
    corners = np.array([[float(index >> bit & 1) for bit in range(4)] for index in range(16)])
    np.testing.assert_allclose(printed.spectra(corners), printed.primaries, atol=1e-12)
    np.testing.assert_allclose(printed_wood_lab(job), D50.lab(printed.primaries[0]), atol=1e-9)


def test_the_photograph_is_separated_by_the_same_model(job: Job) -> None:
    np.testing.assert_allclose(photo_model(job).primaries_rgb, whole_model(job).primaries_rgb)


def test_one_ink_without_a_spectrum_leaves_the_plain_model(tmp_path: Path) -> None:
    path = write_spectral_job(tmp_path, ('reflectance = "cyan.txt"', 'colour = "process cyan"'))
    job = read_job(path)
    assert job_spectra(job) is None
    solid = ink_colour(job, job.ink[1]).lab
    write_csv(tmp_path / "m.csv", ink_rows("Magenta"))
    assert colour_difference(solid, D50.lab(np.pad(
        ink_rows("Magenta")["over white"], (4, 8), mode="edge"))) < 0.01
    with pytest.raises(InputProblem, match=r"ink\[3\]\.reflectance: found no spectrum of 'Cyan'"):
        printed_spectra(job)


@pytest.mark.parametrize(("change", "says"), [
    (('reflectance = "cyan.txt"', 'reflectance = "cyan.txt"\nover_white = [50, -30, -40]'),
     r"ink\[3\]: found its colour given in several ways"),
    (('reflectance = "cyan.txt"', 'reflectance = "cyan.txt"\nopacity = 0.5'),
     r"ink\[3\]: found its colour given in several ways"),
    (('reflectance = "cyan.txt"', 'reflectance = "none.txt"'), "none.txt"),
    (('reflectance = "cyan.txt"', 'reflectance = "../cyan.txt"'), "outside the job's folder")])
def test_faults(tmp_path: Path, change: tuple[str, str], says: str) -> None:
    with pytest.raises(InputProblem, match=says):
        whole_model(read_job(write_spectral_job(tmp_path, change)))


def test_wood_is_told_once(tmp_path: Path) -> None:
    path = write_spectral_job(tmp_path)
    path.write_text(path.read_text() + "lab = [74, 6, 26]\n")
    with pytest.raises(InputProblem, match="wood: found both 'lab' and 'reflectance'"):
        read_job(path)
    path.write_text(path.read_text().replace('reflectance = "wood.csv"\nlab', "lab"))
    with pytest.raises(InputProblem, match=r"wood\.reflectance: found no spectrum of the wood"):
        printed_spectra(read_job(path))


PROFILE = """title = "Marsh light"
date = 2026-11-25
yule_nielsen_n = 1.5
n_is_fitted = true
{wood}[[ink]]
name = "Cyan"
tone_curve = [[0, 0], [50, 60], [100, 100]]
curve_uncertainty = [0, 1, 0]
"""


def test_a_profiles_curves_are_taken_and_its_colours_stand_before_spectra(tmp_path: Path) -> None:
    path = write_spectral_job(tmp_path, ("boards = 3", 'boards = 3\npress_profile = "p.toml"'))
    (tmp_path / "p.toml").write_text(PROFILE.format(wood=""))
    printed = printed_spectra(read_job(path))
    assert printed.n == 1.5
    assert printed.curves[2, 512] == pytest.approx(0.6, abs=0.01)
    (tmp_path / "p.toml").write_text(PROFILE.format(wood="wood_lab = [70, 5, 20]\n"))
    job = read_job(path)
    np.testing.assert_allclose(whole_model(job).substrate_lab, (70, 5, 20), atol=0.1)
    with pytest.raises(InputProblem, match="whose colours are for D50 alone"):
        printed_spectra(job)


def test_a_varnish_deepens_wood_and_inks_alike_in_either_model(job: Job, tmp_path: Path) -> None:
    bare, coated = (model_under(job, coat).primaries_lab for coat in ("none", "gloss"))
    assert (coated[:, 0] < bare[:, 0]).all()
    plain = read_job(write_small_job(tmp_path / "plain"))
    other = [model_under(plain, coat).primaries_lab for coat in ("none", "gloss")]
    assert coated[0, 0] - bare[0, 0] == pytest.approx(other[1][0, 0] - other[0][0, 0], abs=2.5)


def test_changes_are_told_for_each_colour(job: Job) -> None:
    changes = light_changes(job, [D50, light_named("A")])
    assert len(changes) == 2 * (16 + 3)
    still = [one for one in changes if one.light == "D50"]
    assert max(one.moves_de00 for one in still) < 1e-9
    assert max(one.parts_de00 or 0.0 for one in still) < 0.2
    lamp = {one.colour: one for one in changes if one.light == "A"}
    assert lamp["Magenta"].moves_de00 > 2.0
    grey = lamp["Black 50 %"]
    assert grey.beside.startswith("Yellow ")
    assert grey.parts_de00 is not None
    assert grey.parts_de00 > 0.5
    rows = light_csv(changes).splitlines()
    assert len(rows) == 1 + len(changes)
    assert rows[1].startswith("D50,bare wood,")


def test_the_report_says_what_colours_rest_on(job: Job) -> None:
    told = {figure.name: str(figure.source) for figure in resting_figures(job)}
    assert "band by band" in told["solids on each other"]
    assert "spectra" in told["colour of the ink"]


def test_a_job_without_spectra_keeps_its_letters(tmp_path: Path) -> None:
    job = read_job(write_small_job(tmp_path))
    assert "reflectance" not in repr(job)
    spectral = read_job(write_spectral_job(tmp_path / "other"))
    letters = job_revision(spectral, lambda path: path.read_text(errors="replace"))
    write_csv(tmp_path / "other" / "cyan.txt", ink_rows("Magenta"))
    assert letters != job_revision(spectral, lambda path: path.read_text(errors="replace"))
