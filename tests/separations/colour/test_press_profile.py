"""Press profiles: read back to the last digit, and every fault one sentence."""

from __future__ import annotations

import datetime
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from preflight.input_problem import InputProblem
from preflight.press.seen_print import SeenPrint, SeenRegister
from separations.colour.press_profile import (
    PressInk,
    PressOverprint,
    PressProfile,
    measured_deposit_um,
    measured_overprints,
    profile_curves,
)
from separations.colour.press_profile_file import press_profile_toml, read_press_profile
from separations.ink_need.ink_estimate import Range

shares = st.floats(0.0, 1.0)
labs = st.tuples(st.floats(0, 100), st.floats(-128, 128), st.floats(-128, 128))
names = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), min_size=1,
                max_size=30)


def small_profile() -> PressProfile:
    return PressProfile(
        title="Marsh light", date=datetime.date(2026, 11, 25), n=1.8, n_is_fitted=True,
        n_uncertainty=0.07, proof_uncertainty_de00=0.9, measurement_condition="M1",
        wood_lab=(74.0, 6.0, 26.0), varnish="satin", notes=("Rust: mesh 120/cm",),
        ink=(PressInk(name="Rust", tone_curve=((0.0, 0.0), (0.5, 0.613), (1.0, 1.0)),
                      curve_uncertainty=(0.0, 0.004, 0.0), solid_lab=(38.0, 34.0, 30.0),
                      solid_uncertainty_de00=0.6, solid_density=1.21,
                      transfer=Range(low=0.6, likely=0.71, high=0.8),
                      threads_per_cm=120.0, thread_um=34.0, ruling_lpcm=18.0),
             PressInk(name="Lake", tone_curve=((0.0, 0.0), (1.0, 1.0)),
                      seen=SeenPrint(
                          register=SeenRegister(to="Rust", along_mm=0.12, across_mm=-0.3,
                                                within_mm=0.02, turn_deg=-0.01,
                                                turn_within_deg=0.004),
                          smallest_tone=0.05, lost_tone=0.02, largest_tone=0.95,
                          closed_tone=0.98, exposure_step=6),
                      channel_curves=(((0.0, 0.0), (1.0, 1.0)),
                                      ((0.0, 0.0), (0.5, 0.613), (1.0, 1.0)),
                                      ((0.0, 0.0), (0.25, 0.3), (1.0, 1.0))),
                      curve_uncertainty=(0.0, 0.0))),
        overprint=(PressOverprint(inks=("Rust", "Lake"), lab=(20.0, 1.0, -3.0),
                                  uncertainty_de00=1.1),))


def write(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "press.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_round_trip(tmp_path: Path) -> None:
    profile = small_profile()
    assert read_press_profile(write(tmp_path, press_profile_toml(profile))) == profile


@given(title=names, ink=names, tones=st.lists(shares, max_size=6, unique=True), prints=st.lists(
    shares, min_size=6, max_size=6), lab=labs, n=st.floats(1, 10), sd=shares,
    density=st.floats(0, 6))
def test_any_profile_survives(
    tmp_path_factory: pytest.TempPathFactory, title: str, ink: str, tones: list[float],
    prints: list[float], lab: tuple[float, float, float], n: float, sd: float, density: float,
) -> None:
    inner = sorted(t for t in tones if 0 < t < 1)
    curve = ((0.0, 0.0), *zip(inner, sorted(prints), strict=False), (1.0, 1.0))
    profile = PressProfile(
        title=title, date=datetime.date(2026, 1, 2), n=n, n_is_fitted=False,
        ink=(PressInk(name=ink, tone_curve=curve, curve_uncertainty=(sd,) * len(curve),
                      solid_lab=lab, solid_density=density),))
    path = write(tmp_path_factory.mktemp("p"), press_profile_toml(profile))
    assert read_press_profile(path) == profile


def test_what_jobs_take_from_it() -> None:
    profile = small_profile()
    curve = profile_curves(profile)["Rust"]
    assert curve.printed_tone(0.5) == pytest.approx(0.613)
    assert curve.film_tone(0.613) == pytest.approx(0.5, abs=1e-3)
    assert profile.of("Lake") is profile.ink[1]
    assert profile.of("Leaf") is None
    both = measured_overprints(profile)
    assert both == {frozenset({"Rust"}): (38.0, 34.0, 30.0),
                    frozenset({"Rust", "Lake"}): (20.0, 1.0, -3.0)}
    assert measured_overprints(profile, {"Rust": "red"}) == {frozenset({"red"}): (38.0, 34.0, 30.0)}
    assert np.isclose(measured_deposit_um(Range(low=0.5, likely=0.7, high=0.9), 20.0).likely, 14.0)


@pytest.mark.parametrize(("old", "new", "sentence"), [
    ("title =", "titel =", ": titel: found the unknown key 'titel'; 'title' would do."),
    ("solid_density", "solid_densty",
     ": ink[1].solid_densty: found the unknown key 'solid_densty'; 'solid_density' would do."),
    ("yule_nielsen_n = 1.8", "yule_nielsen_n = 0.8",
     ": yule_nielsen_n: found 0.8; a number from 1 to 10 would do."),
    ('measurement_condition = "M1"', 'measurement_condition = "M7"',
     ": measurement_condition: found 'M7'; M0, M1, M2 or M3 would do."),
    ("n_uncertainty = 0.07", "n_uncertainty = -1",
     ": n_uncertainty: found -1; a number from 0 to 100 would do."),
    ("yule_nielsen_n = 1.8", "yule_nielsen_n = nan",
     ": yule_nielsen_n: found NaN; a number from 1 to 10 would do."),
    ("date = 2026-11-25", "date = 'soon'",
     ": date: found 'soon'; a date such as 2026-11-25 would do."),
    ("[50, 61.3]", "[50, 161.3]",
     ": ink[1].tone_curve: found [[0, 0], [50, 161.3], [100, 100]]; pairs of film and printed tone "
     "in percent, both rising from 0 to 100, such as [[0, 0], [50, 58], [100, 100]], would do."),
    ("[50, 61.3]", "[50]", ": ink[1].tone_curve: found [50]; pairs of film and printed tone in "
     "percent, both rising from 0 to 100, such as [[0, 0], [50, 58], [100, 100]], would do."),
    ("[0, 0.4, 0]", "[0, 0.4]", ": ink[1].curve_uncertainty: found 2 figures; 3 figures, one for "
     "each pair of the tone curve, would do."),
    ("[38.0, 34.0, 30.0]", "[138.0, 34.0, 30.0]", ": ink[1].solid_lab: found [138.0, 34.0, 30.0]; "
     "a CIELAB colour (D50, 2°) such as [74, 6, 26] would do."),
    ("low = 0.6", "low = 0.75", ": ink[1].transfer: found figures that do not rise; low, likely "
     "and high in rising order would do."),
    ("lost_tone = 0.02", "lost_tone = 0.06", ": ink[2].seen.smallest_tone: found tones that do "
     "not rise; lost_tone under smallest_tone would do."),
    ("closed_tone = 0.98", "closed_tone = 1.98",
     ": ink[2].seen.closed_tone: found 1.98; a number from 0 to 1 would do."),
    ("turn_deg = -0.01", "turned_deg = -0.01", ": ink[2].seen.register.turned_deg: found the "
     "unknown key 'turned_deg'; 'turn_deg' would do."),
    ('"satin"', '"silk"',
     ": varnish: found 'silk'; 'none' or 'matt' or 'satin' or 'gloss' would do."),
    ('"Rust", "Lake"', '"Rust", "Leaf"',
     ": overprint[1].inks: found Rust, Leaf; two or more of Rust, Lake would do."),
    ('name = "Lake"', 'name = "Rust"',
     ": ink: found 'Rust' named twice; another name for each ink would do."),
])
def test_faults(tmp_path: Path, old: str, new: str, sentence: str) -> None:
    text = press_profile_toml(small_profile())
    assert old in text
    path = write(tmp_path, text.replace(old, new))
    with pytest.raises(InputProblem) as caught:
        read_press_profile(path)
    assert caught.value.sentence == f"{path}{sentence}"


def test_files_that_are_none(tmp_path: Path) -> None:
    for raw, found in ((b"\xff\xfe\x00", "bytes that are not UTF-8 text"),
                       (b"title = ", "not TOML"),
                       (b"x = " + b"[" * 40_000, "TOML"), (b"#" * 1_000_001, "more than 1 MB")):
        path = tmp_path / "press.toml"
        path.write_bytes(raw)
        with pytest.raises(InputProblem, match=found):
            read_press_profile(path)
    with pytest.raises(InputProblem, match="found no such file"):
        read_press_profile(tmp_path / "none.toml")
    with pytest.raises(InputProblem, match="found a folder"):
        read_press_profile(tmp_path)


def test_a_profile_without_mesh_and_ruling_still_reads(tmp_path: Path) -> None:
    text = "\n".join(line for line in press_profile_toml(small_profile()).splitlines()
                     if not line.startswith(("threads_per_cm", "thread_um", "ruling_lpcm")))
    rust = read_press_profile(write(tmp_path, text)).of("Rust")
    assert rust is not None
    assert (rust.threads_per_cm, rust.thread_um, rust.ruling_lpcm) == (None, None, None)


def test_a_mesh_out_of_range_is_named(tmp_path: Path) -> None:
    text = press_profile_toml(small_profile()).replace("threads_per_cm = 120.0",
                                                       "threads_per_cm = -4")
    with pytest.raises(InputProblem, match="threads_per_cm"):
        read_press_profile(write(tmp_path, text))
