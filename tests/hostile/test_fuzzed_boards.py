"""Boards of any shape go through the whole job, and the laws of masks and ink hold on each."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from preflight.board.area_mask import coverage_mask, row_spans
from preflight.frames.raster_grid import grid_over
from preflight.input_problem import InputProblem
from preflight.job_file.job_reader import read_job
from separations.films.film_set import count_films
from separations.halftone.film_bands import film_bands
from separations.planes.laid_out_job import board_of
from separations.runtime.progress import silent
from tests.prepared_jobs import prepare
from tests.small_art import write_small_job

TIMES = int(os.environ.get("TOPSHEET_FUZZ", "1"))
Points = NDArray[np.float64]
_NUMBERS = ('length = "30 cm"\ncontact_length = "20 cm"\nnose_width = "8 cm"\n'
            'waist_width = "7 cm"\ntail_width = "7.8 cm"')


@st.composite
def outlines(draw: st.DrawFn) -> Points:
    """A ring about the origin: a star of any reach in each direction, 21 to 60 cm long."""
    count = draw(st.integers(8, 60))
    reach = np.array(draw(st.lists(st.floats(0.35, 1.0), min_size=count, max_size=count)))
    turn = 2 * np.pi * np.arange(count) / count
    long_mm, wide_mm = draw(st.floats(120, 300)), draw(st.floats(25, 100))
    ring = np.column_stack([long_mm * reach * np.cos(turn), wide_mm * reach * np.sin(turn)])
    return np.round(ring, draw(st.integers(0, 4)))


def write_job(folder: Path, ring: Points, bleed_mm: float, smooth: bool, stage: str) -> Path:
    job = write_small_job(
        folder, (_NUMBERS, f'outline = "ring.csv"\noutline_smooth = {str(smooth).lower()}'),
        ('bleed = "5 mm"', f'bleed = "{bleed_mm:.3f} mm"\nsafety_margin = "3 mm"'),
        ('stage = "sheet"', f'stage = "{stage}"'), ('"600 dpi"', '"150 dpi"'),
        ('"45 lpi"', '"12 lpi"'))
    (folder / "ring.csv").write_text("".join(f"{x};{y}\n" for x, y in ring), encoding="utf-8")
    return job


RINGS = given(ring=outlines(), bleed_mm=st.floats(0, 30), smooth=st.booleans(),
              stage=st.sampled_from(["sheet", "board"]))


def steady(count: int) -> settings:
    return settings(max_examples=count * TIMES, derandomize=True, deadline=None, database=None,
                    phases=[Phase.generate],  # to shrink a whole job takes minutes
                    suppress_health_check=list(HealthCheck))


def test_masks_nest_and_hold_their_area(tmp_path: Path) -> None:
    made = [0, 0]

    @steady(40)
    @RINGS
    def attempt(ring: Points, bleed_mm: float, smooth: bool, stage: str) -> None:
        job = read_job(write_job(tmp_path / "job", ring, bleed_mm, smooth, stage))
        try:
            area = board_of(job).area
        except InputProblem:
            made[0] += 1
            return
        made[1] += 1
        trim, printed, safe = area.trim, area.printed, area.safe
        outer = printed if stage == "sheet" else trim
        inner = trim if stage == "sheet" else printed
        assert inner.difference(outer.buffer(1e-6)).area < 1e-3
        assert safe.difference(trim.buffer(1e-6)).area < 1e-3
        grid = grid_over(outer.bounds, 2.0)
        masks = {}
        for name, polygon in (("inner", inner), ("outer", outer), ("safe", safe)):
            if not polygon.is_empty:
                masks[name] = coverage_mask(polygon, grid).astype(np.int64)
                # Each pixel is rounded to a 65535th.
                assert masks[name].sum() / 65535 * 4.0 == pytest.approx(
                    polygon.area, abs=4.0 * masks[name].size / 65535)
        assert (masks["inner"] <= masks["outer"] + 1).all()
        if "safe" in masks:
            assert (masks["safe"] <= masks["outer"] + 1).all()

    attempt()
    _tell("boards", made)


def test_ink_stays_within_the_bleed_and_adds_up(tmp_path: Path) -> None:
    made = [0, 0]

    @steady(3)
    @RINGS
    def attempt(ring: Points, bleed_mm: float, smooth: bool, stage: str) -> None:
        path = write_job(tmp_path / "job", ring, bleed_mm, smooth, stage)
        try:
            job = prepare(path)
        except InputProblem:
            made[0] += 1
            return
        made[1] += 1
        grid = job.sheet.art_grid
        estimates = count_films(job.films(), silent).estimates
        within = row_spans(job.laid.area.printed, grid).inside()
        for ink, content, estimate in zip(job.laid.job.ink, job.contents, estimates, strict=True):
            bits = np.concatenate([np.unpackbits(band, axis=1) for band in film_bands(content)])
            dots = bits[:, :grid.columns].astype(bool)
            assert dots.shape == (grid.rows, grid.columns)
            assert not (dots & ~within).any(), (ink.name, "ink outside the bleed")
            inked_cm2 = dots.sum() * grid.pixel_mm**2 / 100
            assert estimate.inked_cm2 == pytest.approx(inked_cm2)
            assert inked_cm2 <= job.laid.area.printed.area / 100 * 1.02 + 1
            tones = job.separation.tones_of(ink, job.laid.job)
            assert tones is None or (tones.dtype == np.uint16 and tones.ndim == 2)

    attempt()
    _tell("whole jobs", made)


def _tell(kind: str, made: list[int]) -> None:
    assert made[1] > 0
    if TIMES > 1:
        print(f"\n{kind}: {made[1]} went through, {made[0]} were refused")  # noqa: T201
