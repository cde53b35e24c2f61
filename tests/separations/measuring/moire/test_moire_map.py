"""The map of ruling by angle, and a whole job's moiré."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest

from preflight.facts.moire_facts import PLAINLY_SEEN, SEEN_WHEN_LOOKED_FOR
from preflight.press.halftone_spec import HalftoneSpec
from preflight.press.mesh import Mesh
from separations.measuring.moire.mesh_moire import TintInk, measured
from separations.measuring.moire.moire_map import map_picture, moire_map, moire_map_png
from separations.pipeline.calls import quick_session
from separations.pipeline.fact_stages import MOIRE
from separations.pipeline.stages import LAID_OUT, PHOTO_MODEL
from separations.report.moire_pictures import moire_pictures

MESH = Mesh(threads_per_cm=77, thread_um=48)


def _ink(lpcm: float, angle_deg: float) -> TintInk:
    spec = HalftoneSpec(ruling_lpcm=lpcm, angle_deg=angle_deg, dot_shape="round", film_dpi=1440)
    return TintInk(name="Black", spec=spec, mesh=MESH, wood_y=0.46, solid_y=0.03)


def test_map_and_simulation_agree_where_it_is_plain() -> None:
    made = moire_map("round", MESH, least_lpcm=14, most_lpcm=28, wood_y=0.46, solid_y=0.03,
                     rulings=15)
    assert made.times_threshold.shape == made.period_mm.shape == (15, 31)
    short = (made.period_mm < 3) & (made.times_threshold > 0)
    worst = np.unravel_index(np.argmax(np.where(short, made.times_threshold, 0)), short.shape)
    best = np.unravel_index(np.argmin(made.times_threshold), short.shape)
    seen = [max(measured(_ink(float(made.rulings_lpcm[r]), float(made.angles_deg[a])), tone,
                         18.0).times_threshold for tone in (0.5, 0.85)) for r, a in (worst, best)]
    assert seen[0] > 2 * SEEN_WHEN_LOOKED_FOR
    assert seen[0] == pytest.approx(made.times_threshold[worst], rel=0.5)
    assert seen[1] < SEEN_WHEN_LOOKED_FOR


def test_picture_is_darker_where_it_is_seen_and_marks_the_ink() -> None:
    made = moire_map("round", MESH, least_lpcm=14, most_lpcm=28, wood_y=0.46, solid_y=0.03,
                     rulings=9)
    light = map_picture(made).astype(int).sum(axis=2)[::-1]
    order = np.argsort(made.times_threshold, axis=None)
    assert light.flat[order[-1]] < light.flat[order[0]]
    plain, marked = (np.asarray(cv2.imdecode(np.frombuffer(moire_map_png(made, inks), np.uint8), 1))
                     for inks in ((), (_ink(20, 30),)))
    assert plain.shape == marked.shape
    assert np.any(plain != marked)
    assert moire_map_png(made, ()) == moire_map_png(made, ())


def test_the_key_shows_the_maps_own_colours_at_its_figures() -> None:
    made = moire_map("round", MESH, least_lpcm=14, most_lpcm=28, wood_y=0.46, solid_y=0.03,
                     rulings=3)
    page = np.asarray(cv2.imdecode(np.frombuffer(moire_map_png(made, ()), np.uint8), 1))
    wide = made.times_threshold.shape[1] * 16
    bar = page[50 + 3 * 16 + 96 + 20, 104:104 + wide, ::-1].astype(int)
    most = 120.0
    for times in (SEEN_WHEN_LOOKED_FOR, PLAINLY_SEEN):
        setting = replace(made, times_threshold=np.full((1, 1), times))
        at = round(times / most * (wide - 1))
        np.testing.assert_allclose(bar[at], map_picture(setting)[0, 0], atol=3)
    # lighter to darker: told without a sense for hue
    light = bar[2:-2].sum(axis=1)
    assert light[0] > light[len(light) // 3] > light[-1]


def test_a_whole_job(small_job: Callable[..., Path]) -> None:
    session = quick_session(small_job())
    facts, laid, model = session.all_of(MOIRE, LAID_OUT, PHOTO_MODEL)
    assert [f.inks[0] for f in facts if f.partner == "mesh"] == ["Yellow", "Magenta", "Cyan",
                                                                 "Black"]
    assert sum(f.partner == "ink" for f in facts) == 6
    assert facts == quick_session(laid.job).of(MOIRE)
    pictures = moire_pictures(laid, model)
    assert [p.media_type for p in pictures] == ["image/png"]


def test_scattered_dots_have_no_beats(small_job: Callable[..., Path]) -> None:
    path = small_job(('ruling = "45 lpi"', 'ruling = "45 lpi"\ndot_shape = "stochastic"'))
    facts, laid, model = quick_session(path).all_of(MOIRE, LAID_OUT, PHOTO_MODEL)
    assert facts == ()
    assert moire_pictures(laid, model) == ()
