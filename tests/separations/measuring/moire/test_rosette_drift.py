"""The rosette of three inks: its period by simulation, how far it moves overlaps, its finding."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest

from preflight.checks.rosette import rosette_stands_still
from preflight.facts.moire_facts import RosetteFacts
from preflight.facts.submission import Submission
from preflight.findings import Grade
from preflight.job_file.job_reader import read_job
from preflight.press.contrast_sensitivity import sensitivity_to
from preflight.press.dot_shapes import spot_of
from preflight.press.halftone_spec import HalftoneSpec
from preflight.press.mesh import Mesh
from separations.colour.job_inks import photo_model
from separations.colour.print_model import PrintModel
from separations.measuring.moire.beat_strength import dot_waves
from separations.measuring.moire.mesh_moire import TintInk
from separations.measuring.moire.printed_patch import tint_dots
from separations.measuring.moire.rosette_drift import rosettes, shortest_period_mm
from separations.measuring.moire.visible_peak import visible_peak
from separations.planes.laid_out_job import LaidOutJob
from tests.prepared_jobs import laid_out

Write = Callable[..., Path]
DPI = 1440


def ink(angle_deg: float, name: str = "ink", lpcm: float = 18.0) -> TintInk:
    spec = HalftoneSpec(ruling_lpcm=lpcm, angle_deg=angle_deg, dot_shape="round", film_dpi=DPI)
    return TintInk(name=name, spec=spec, mesh=Mesh(threads_per_cm=120, thread_um=34), wood_y=0.46,
                   solid_y=0.05)


@pytest.fixture
def model(small_job: Write) -> PrintModel:
    return photo_model(read_job(small_job()))


def found(model: PrintModel, *angles: float) -> RosetteFacts:
    three = [(n, ink(a, name)) for n, (a, name) in enumerate(
        zip(angles, ("One", "Two", "Three"), strict=True))]
    (facts,) = rosettes(three, model, length_mm=1600, placement_mm=0.15)
    return facts


def test_at_thirty_degrees_it_stands_still(model: PrintModel) -> None:
    facts = found(model, 22.5, 52.5, 82.5)
    assert math.isinf(facts.period_mm)
    # Two of three films turned one way and one the other: twice one film's own miss.
    assert facts.careful_mm == pytest.approx(1 / (2 * 1.8 * math.radians(0.1)), rel=0.01)
    assert facts.placement_deg == pytest.approx(0.0054, abs=1e-4)
    within = facts.stands_within_deg
    assert shortest_period_mm([ink(a) for a in (22.5, 52.5, 82.5)], ((1, 0), (-1, 0), (0, 1)),
                              0.0) > 0
    assert facts.careful_mm * 0.1 / within == pytest.approx(2 * 1600, rel=0.02)


@pytest.mark.parametrize("off_deg", [pytest.param(2.0, marks=pytest.mark.long), 4.0])
def test_one_film_askew_beats_as_simulated(model: PrintModel, off_deg: float) -> None:
    facts = found(model, 0.0, 30.0, 60.0 + off_deg)
    assert facts.period_mm == pytest.approx(1 / (1.8 * 2 * math.sin(math.radians(off_deg) / 2)),
                                            rel=0.01)
    side = 8 * round(4.5 * facts.period_mm * DPI / 25.4 / 8)
    bits = [np.unpackbits(tint_dots(ink(a).spec, 0.5, side), axis=1)
            for a in (0.0, 30.0, 60.0 + off_deg)]
    overlap = (bits[0] & bits[1] & bits[2]).astype(np.float32)
    # Beats of pairs, which are shorter, are averaged away first.
    least = 1 / (0.6 * facts.period_mm)
    peak = visible_peak(cv2.GaussianBlur(overlap, (0, 0), 0.12 * facts.period_mm * DPI / 25.4),
                        25.4 / DPI, least)
    assert peak.period_mm == pytest.approx(facts.period_mm, rel=0.03)
    assert any(abs((peak.direction_deg - facts.direction_deg - turn + 90) % 180 - 90) < 3
               for turn in (0, 90))


def test_overlaps_move_by_the_amplitude_of_both_beats() -> None:
    """Shifting one ink walks through the rosettes; the area of all three swings as told."""
    side = 8 * 130
    specs = [ink(a).spec for a in (0.0, 30.0, 60.0)]
    bits = [np.unpackbits(tint_dots(spec, 0.5, side), axis=1) for spec in specs]
    wave = abs(complex(dot_waves("round", 0.5)[1, 0]))
    period_px = 10 / 18 * DPI / 25.4
    core = np.s_[64:-64, 64:-64]
    shares = []
    for down in np.arange(0, 1, 0.125):
        for right in np.arange(0, 1, 0.125):
            moved = np.roll(bits[0], (round(down * period_px), round(right * period_px)), (0, 1))
            shares.append((moved & bits[1] & bits[2])[core].mean())
    swing = (max(shares) - min(shares)) / 2
    assert swing == pytest.approx(2 * 2 * wave**3, rel=0.2)


def test_the_beat_shows_by_its_contrast_in_light(model: PrintModel) -> None:
    """Three ideal tints at 0°, 30° and 60°, the first moved by quarters of its periods.

    Rows of the second, at 120°, are those of the third, at 60°, less those of the first; likewise
    those at 150° are those at 90° less those at 30°. All else falls on all else.
    """
    facts = found(model, 0.0, 30.0, 64.0)
    count = 24
    places = (np.arange(count) + 0.5) / count
    spot = spot_of("round")(places[:, None], places)
    cell = spot > np.quantile(spot, 1 - facts.tone)
    at_0, at_90, at_30, at_60 = np.ogrid[:count, :count, :count, :count]
    others = 2 * cell[at_30, (at_60 - at_0) % count] + 4 * cell[at_60, (at_90 - at_30) % count]
    lightness = model.primaries_lab[:8, 0]
    luminance = np.where(lightness > 8, ((lightness + 16) / 116) ** 3, lightness / 903.3)  # CIE
    quarters = range(0, count, count // 4)
    light = [[luminance[others + cell[(at_0 + along) % count, (at_90 + across) % count]].mean()
              for across in quarters] for along in quarters]
    waves = np.abs(np.fft.fft2(light))
    contrast = 2 * waves[1, 0] / waves[0, 0]
    assert facts.times_threshold == pytest.approx(
        contrast * float(sensitivity_to(1 / facts.period_mm)), rel=0.05)


def submission(laid: LaidOutJob, facts: RosetteFacts) -> Submission:
    return Submission(job=laid.job, outline=laid.outline, area=laid.area, art=laid.art,
                      film_length_mm=0, film_width_mm=0, tones=None, rosettes=(facts,))


@pytest.mark.parametrize(("change", "grade"), [
    ({"careful_mm": 3300.0, "placed_mm": 9e3}, Grade.CLEAR),
    ({"careful_mm": 3100.0, "placed_mm": 9e3}, Grade.NOTE),
    ({"careful_mm": 3100.0, "placed_mm": 9e3, "de00": 1.9}, Grade.CLEAR),
    ({"placed_mm": 1590.0}, Grade.CARE),
    ({"period_mm": 40.0, "placed_mm": 30.0, "stands_within_deg": 0.0}, Grade.CARE),
    ({"period_mm": 2.0, "times_threshold": 19.0}, Grade.CLEAR),
    ({"period_mm": 2.0, "times_threshold": 900.0}, Grade.CARE),
])
def test_in_order_just_failing_and_absurd(small_job: Write, change: dict[str, float],
                                          grade: Grade) -> None:
    facts = RosetteFacts(
        inks=("A", "B", "C"), told="rows", period_mm=math.inf, direction_deg=10,
        placement_deg=0.005, placed_mm=9000, careful_mm=160, de00=3.0, tone=0.5,
        times_threshold=0.0, stands_within_deg=0.004, length_mm=1600)
    facts = replace(facts, **change)  # type: ignore[arg-type]
    (finding,) = rosette_stands_still(submission(laid_out(small_job()), facts))
    assert finding.grade is grade
    assert bool(finding.mend) == (grade is not Grade.CLEAR)
    if grade is Grade.CARE and change.get("stands_within_deg") == 0.0:
        assert "30° apart" in finding.mend
