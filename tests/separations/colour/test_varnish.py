"""What a clear coat does to wood and inks, by the model."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.findings import Grade
from preflight.job_file.board_tables import FinishTable, Varnish, WoodTable
from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from separations.colour.job_inks import whole_model
from separations.colour.press_profile import PressInk, PressProfile
from separations.colour.press_profile_file import press_profile_toml
from separations.colour.varnish import model_under, varnish_facts
from separations.pipeline.fact_stages import QUICK_FINDINGS
from separations.pipeline.session import Session

Write = Callable[..., Path]
COATS: tuple[Varnish, ...] = ("none", "matt", "satin", "gloss")
BLACK = 0b1000


def labs(job: Job) -> dict[Varnish, NDArray[np.float64]]:
    return {coat: model_under(job, coat).primaries_lab for coat in COATS}


def chroma(lab: NDArray[np.float64]) -> float:
    return float(np.hypot(lab[1], lab[2]))


def test_without_varnish_nothing_changes(small_job: Write) -> None:
    job = read_job(small_job())
    for lighter in (1.0, 1.05):
        plain, same = whole_model(job, lighter), model_under(job, "none", lighter)
        assert np.array_equal(plain.primaries_rgb, same.primaries_rgb)


def test_gloss_is_deeper_and_more_saturated_and_matt_lifts_the_blacks(small_job: Write) -> None:
    found = labs(read_job(small_job()))
    wood = {coat: lab[0] for coat, lab in found.items()}
    assert wood["none"][0] - 9 < wood["gloss"][0] < wood["none"][0] - 3
    assert chroma(wood["gloss"]) > chroma(wood["none"]) + 1
    for index in range(1, 16):  # every solid and overprint: the glossier, the deeper
        lights = [found[coat][index][0] for coat in ("matt", "satin", "gloss")]
        chromas = [chroma(found[coat][index]) for coat in ("matt", "satin", "gloss")]
        assert lights == sorted(lights, reverse=True)
        assert index & BLACK or chromas == sorted(chromas)
    assert found["gloss"][BLACK][0] < found["none"][BLACK][0] < found["matt"][BLACK][0]


def test_an_opaque_white_hides_what_happens_to_the_wood(small_job: Write) -> None:
    white = ('[[ink]]\nname = "Yellow"',
             '[[ink]]\nname = "White"\nover_white = [95, 0, 2]\nopacity = 0.97\nangle = 37.5\n'
             'prints = "underbase"\n[[ink]]\nname = "Yellow"')
    found = labs(read_job(small_job(white)))
    changed = found["gloss"][:, 0] - found["none"][:, 0]
    assert changed[0] < -3
    assert abs(changed[1]) < 1


@pytest.mark.parametrize("lab", [(18.0, 4.0, 8.0), (3.0, 0.0, 0.0), (97.0, 0.0, 3.0)])
def test_dark_and_light_woods_stay_what_light_can_be(
        small_job: Write, lab: tuple[float, float, float]) -> None:
    job = replace(read_job(small_job()), wood=WoodTable(lab=lab))
    for coat in COATS:
        rgb = model_under(job, coat).primaries_rgb
        assert np.isfinite(rgb).all()
        assert 0.0 < rgb.min() <= rgb.max() <= 1.0


def profiled(path: Path, varnish: Varnish, **of: tuple[float, float, float]) -> Path:
    """A profile beside the job with these solids, and ``wood``."""
    profile = PressProfile(
        title="Marsh light", date=datetime.date(2026, 11, 25), n=1.7, n_is_fitted=True,
        varnish=varnish, wood_lab=of.pop("wood", None), ink=tuple(
            PressInk(name=name, tone_curve=((0.0, 0.0), (1.0, 1.0)), curve_uncertainty=(0.0, 0.0),
                     solid_lab=of.get(name)) for name in ("Yellow", "Cyan")))
    (path.parent / "press.toml").write_text(press_profile_toml(profile), encoding="utf-8")
    return path


PROFILE = ("boards = 3", 'boards = 3\npress_profile = "press.toml"')
READ = {"wood": (74.0, 6.0, 26.0), "Cyan": (42.0, -38.0, -16.0)}


def test_a_profile_read_under_the_varnish_stands_as_it_was_read(small_job: Write) -> None:
    job = replace(read_job(profiled(small_job(PROFILE), "gloss", **READ)),
                  finish=FinishTable(varnish="gloss"))
    lab = model_under(job, "gloss").primaries_lab
    np.testing.assert_allclose(lab[[0, 0b100]], [READ["wood"], READ["Cyan"]], atol=1e-6)


@pytest.mark.parametrize("coat", ["matt", "satin", "gloss"])
def test_wood_read_under_a_varnish_leads_back_to_bare_wood(
        small_job: Write, coat: Varnish) -> None:
    path = profiled(small_job(PROFILE), "none", **READ)
    light, a, b = model_under(read_job(path), coat).primaries_lab[0].tolist()
    profiled(path, coat, wood=(light, a, b))
    back = model_under(read_job(path), "none").primaries_lab[0]
    np.testing.assert_allclose(back, READ["wood"], atol=0.6)  # its matt light judged from darker


@pytest.mark.parametrize(("read", "printed", "grade"), [
    ("none", "none", Grade.CLEAR), ("none", "gloss", Grade.CARE), ("gloss", "gloss", Grade.CLEAR),
    ("matt", "gloss", Grade.CARE), ("gloss", "none", Grade.CARE)])
def test_a_calibration_read_without_the_varnish_is_told(
        small_job: Write, read: Varnish, printed: Varnish, grade: Grade) -> None:
    path = profiled(small_job(PROFILE, ("[mesh]", f'[finish]\nvarnish = "{printed}"\n[mesh]')),
                    read, **READ)
    one, = (finding for finding in Session(path, finest_ppi=72.0).of(QUICK_FINDINGS).findings
            if finding.id == "varnish-read")
    assert one.grade is grade
    if grade is Grade.CARE:
        assert ("without varnish" if "none" in (read, printed) else "under matt") in one.says
        assert "calibrate again" in one.mend


def test_densities_alone_say_nothing_of_the_varnish(small_job: Write) -> None:
    path = profiled(small_job(PROFILE), "none")
    assert varnish_facts(replace(read_job(path), finish=FinishTable(varnish="gloss"))) is None
