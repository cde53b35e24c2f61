"""Any spot function, ranked: the tones asked for, and the very dots of shapes that have a formula.

A shape is added to the table for a test alone; everything that takes a shape then takes it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.frames.raster_grid import RasterGrid
from preflight.job_file.job_reader import read_job
from preflight.press.dot_shapes import DOT_SHAPES, CosineSum, Heights
from preflight.press.halftone_spec import HalftoneSpec
from preflight.press.mesh import Mesh
from separations.halftone.film_bands import film_bands
from separations.halftone.film_content import FilmContent, grid_of_four
from separations.halftone.spot_levels import RankedSpot, levelled_spot
from separations.measuring.hold.halftone_hold import measure_halftone
from separations.measuring.moire.beat_strength import dot_waves
from separations.pipeline.calls import make_films
from separations.uses.calibration.wedge_films import write_wedge
from tests.coarse_job import write_coarse_job

Build = Callable[..., FilmContent]


def terraces(u: Heights, v: Heights) -> Heights:
    """Seven steps, each of one height, steeper on one side than on the other."""
    slope = np.cos(np.pi * u) * np.cos(np.pi * v) * (1 + 0.2 * np.sin(2 * np.pi * u))
    return np.asarray(np.round(6 * slope))


@pytest.fixture
def added(monkeypatch: pytest.MonkeyPatch) -> str:
    """The name of a shape that is in the table for this test."""
    monkeypatch.setitem(DOT_SHAPES, "terraces", terraces)
    return "terraces"


def _bits(content: FilmContent) -> NDArray[np.bool_]:
    packed = np.concatenate(list(film_bands(content)))
    return np.unpackbits(packed, axis=1)[:, :content.film_grid.columns].astype(bool)


def _film(tones: NDArray[np.uint16], side: int = 700, **spec: Any) -> FilmContent:
    film = RasterGrid(top_x_mm=60.0, left_y_mm=30.0, pixel_mm=25.4 / 1440, rows=side, columns=side)
    return FilmContent(
        tones=tones, tone_grid=film if tones.shape == (side, side) else grid_of_four(film),
        film_grid=film,
        spec=HalftoneSpec(ruling_lpcm=45 / 2.54, angle_deg=22.5, film_dpi=1440, **spec))


def _two_ways(film: FilmContent, monkeypatch: pytest.MonkeyPatch) -> tuple[float, float]:
    """How much of the dots' outlines differs when a formula's spot is ranked, and of the cover."""
    spot = DOT_SHAPES[film.spec.dot_shape]
    monkeypatch.setitem(DOT_SHAPES, "ranked", lambda u, v: spot(u, v))
    assert isinstance(levelled_spot("ranked"), RankedSpot)
    one = _bits(film)
    other = _bits(replace(film, spec=replace(film.spec, dot_shape="ranked")))
    outlines = (one[1:] ^ one[:-1]).mean() + (one[:, 1:] ^ one[:, :-1]).mean()
    return float((one ^ other).mean() / outlines), float(one.mean() - other.mean())


@pytest.mark.parametrize("shape", ["round", "elliptical", "square", "line"])
@pytest.mark.parametrize("small_dots", ["drop", "thin"])
def test_ranked_dots_are_those_of_the_formula(
        monkeypatch: pytest.MonkeyPatch, shape: str, small_dots: str) -> None:
    """On a ramp told pixel by pixel, since between a plane's pixels levels differ by form."""
    rows, columns = np.indices((700, 700))
    ramp = np.clip((columns / 640 - 0.05 + 0.1 * np.sin(rows / 70)) * 65535, 0, 65535)
    film = _film(ramp.astype(np.uint16), dot_shape=shape, small_dots=small_dots,
                 smallest_tone=0.04, largest_tone=0.97)
    outlines, cover = _two_ways(film, monkeypatch)
    assert outlines < 0.012
    assert abs(cover) < 1e-4


@pytest.mark.parametrize("shape", ["round", "elliptical", "square"])
@pytest.mark.parametrize("tone", [0.06, 0.3, 0.5, 0.8])
def test_ranked_dots_of_flat_tints_are_drawn_like_those_of_the_formula(
        monkeypatch: pytest.MonkeyPatch, shape: str, tone: float) -> None:
    tint = _film(np.full((2, 2), round(tone * 65535), np.uint16), dot_shape=shape)
    outlines, cover = _two_ways(tint, monkeypatch)
    assert outlines < 0.1
    assert abs(cover) < 5e-5


@pytest.mark.parametrize("spot", [CosineSum(along=0.3, across=1.0), terraces])
def test_places_of_a_ranked_cell_are_as_even_as_can_be(
        monkeypatch: pytest.MonkeyPatch, spot: Callable[[Heights, Heights], Heights]) -> None:
    monkeypatch.setitem(DOT_SHAPES, "ranked", lambda u, v: spot(u, v))
    ranked = levelled_spot("ranked")
    assert isinstance(ranked, RankedSpot)
    covers = np.linspace(0.001, 0.999, 500)
    heights = np.sort(ranked.ranks, axis=None) / 32766
    found = 1 - np.searchsorted(heights, ranked.level_of_cover(covers), "right") / heights.size
    assert np.abs(found - covers).max() < 2e-5


def test_steps_of_one_height_are_inked_from_the_middle_outwards(added: str) -> None:
    ranked = levelled_spot(added)
    assert isinstance(ranked, RankedSpot)
    places = (np.arange(len(ranked.ranks)) + 0.5) / len(ranked.ranks)
    from_dot = places - np.round(places)
    u, v = np.meshgrid(from_dot, from_dot, indexing="ij")
    step = terraces(u, v) == 3
    by_rank = np.argsort(-ranked.ranks[step].astype(int), kind="stable")
    distances = np.hypot(u, v)[step][by_rank]
    assert np.diff(distances).min() > -1e-3


def test_an_added_shape_has_its_tones_in_spectra_too(added: str) -> None:
    for tone in (0.02, 0.3, 0.5, 0.77):
        assert dot_waves(added, tone)[0, 0].real == pytest.approx(tone, abs=1e-3)


def test_an_added_shape_is_measured_on_its_mesh(photo_film: Build, added: str) -> None:
    film = photo_film(dot_shape=added, small_dots="thin", smallest_tone=0.05, largest_tone=0.95)
    hold = measure_halftone(film, Mesh(threads_per_cm=120, thread_um=34), "Black", 4)
    assert hold.facts.windows > 0


def test_an_added_shape_is_a_word_of_the_job_and_makes_its_films(
        tmp_path: Path, added: str) -> None:
    path = write_coarse_job(tmp_path / "job", ("[halftone]", f'[halftone]\ndot_shape = "{added}"'))
    made = make_films(path, tmp_path / "films", despite_stops=True)
    assert made.findings
    assert len(made.films) == len(made.submission.job.ink)
    assert write_wedge(read_job(path), tmp_path, lambda _: None)
