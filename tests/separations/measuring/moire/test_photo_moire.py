"""Fine patterns of a photograph against the dots that print it."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.facts.moire_facts import PLAINLY_SEEN, SEEN_WHEN_LOOKED_FOR
from preflight.frames.raster_grid import RasterGrid
from preflight.press.halftone_spec import HalftoneSpec
from preflight.press.mesh import Mesh
from separations.halftone.film_bands import dots_in
from separations.halftone.film_content import FilmContent
from separations.measuring.moire.mesh_moire import TintInk
from separations.measuring.moire.moire_kernels import box_means, strongest_waves
from separations.measuring.moire.photo_moire import strongest_with, tiles_in
from separations.measuring.moire.visible_peak import visible_peak

SPEC = HalftoneSpec(ruling_lpcm=18, angle_deg=52.5, dot_shape="round", film_dpi=1440)
INK = TintInk(name="Black", spec=SPEC, mesh=Mesh(threads_per_cm=120, thread_um=34), wood_y=0.46,
              solid_y=0.03)
PIXEL_MM = 0.2


def _fence(per_mm: float, direction_deg: float, swing: float, side: int = 192) -> tuple[
        NDArray[np.float32], RasterGrid]:
    grid = RasterGrid(top_x_mm=60.0, left_y_mm=20.0, pixel_mm=PIXEL_MM, rows=side, columns=side)
    x, y = grid.row_centres_x_mm()[:, None], grid.column_centres_y_mm()[None, :]
    turn = np.radians(direction_deg)
    wave = np.cos(2 * np.pi * per_mm * (x * np.cos(turn) + y * np.sin(turn)))
    return (0.35 + swing * wave).astype(np.float32), grid


def test_a_fence_near_the_ruling_beats_as_its_screened_dots_do() -> None:
    tone, grid = _fence(1.45, 60.0, 0.15)
    tiles = tiles_in(tone, grid)
    assert tiles is not None
    facts = strongest_with(tiles, INK, tiles.tone)
    assert facts is not None
    film = RasterGrid(top_x_mm=55.0, left_y_mm=15.0, pixel_mm=25.4 / 1440, rows=1600, columns=1600)
    content = FilmContent(tones=np.rint(tone * 65535).astype(np.uint16), tone_grid=grid,
                          film_grid=film, spec=SPEC)
    dots = dots_in(content, 0, 1600, 0, 1600).astype(np.float32)
    seen = visible_peak(np.float32(0.46) - np.float32(0.43) * dots, film.pixel_mm, INK.most_per_mm)
    assert facts.period_mm == pytest.approx(seen.period_mm, rel=0.12)
    assert facts.direction_deg == pytest.approx(seen.direction_deg, abs=8)
    assert facts.contrast == pytest.approx(seen.modulation, rel=0.35)
    assert PLAINLY_SEEN > facts.times_threshold > SEEN_WHEN_LOOKED_FOR
    assert facts.place is not None
    assert 20 < facts.place.centre_mm[0] < 60


def test_a_hard_fence_is_plainly_seen() -> None:
    tiles = tiles_in(*_fence(1.45, 60.0, 0.3))
    assert tiles is not None
    facts = strongest_with(tiles, INK, tiles.tone)
    assert facts is not None
    assert facts.times_threshold > PLAINLY_SEEN


def test_a_coarse_or_faint_pattern_does_not_beat() -> None:
    for per_mm, swing in ((0.4, 0.15), (1.45, 0.02)):
        tiles = tiles_in(*_fence(per_mm, 60.0, swing))
        facts = strongest_with(tiles, INK, tiles.tone) if tiles else None
        assert facts is None or facts.times_threshold < SEEN_WHEN_LOOKED_FOR


def test_where_the_ink_is_absent_nothing_beats() -> None:
    tiles = tiles_in(*_fence(1.45, 60.0, 0.15))
    assert tiles is not None
    facts = strongest_with(tiles, INK, np.zeros_like(tiles.tone))
    assert facts is None or facts.times_threshold == 0


def test_an_even_picture_has_no_tiles() -> None:
    _, grid = _fence(1.0, 0.0, 0.1)
    assert tiles_in(np.full((192, 192), 0.4, np.float32), grid) is None


@pytest.mark.parametrize("side", [1, 2, 7, 40, 63])
def test_means_round_a_place_are_those_of_the_mirrored_plane(side: int) -> None:
    plane = np.random.default_rng(5).integers(0, 65536, (41, 64)).astype(np.uint16)
    beside = side // 2, side - 1 - side // 2
    wide = np.pad(plane, beside, mode="reflect").astype(np.float64)
    rows, columns = (n.ravel() for n in np.indices(plane.shape))
    means = np.empty(plane.size)
    box_means(plane, rows, columns, side, means)
    plain = np.lib.stride_tricks.sliding_window_view(wide, (side, side)).mean(axis=(2, 3))
    assert means.reshape(plane.shape) == pytest.approx(plain, rel=1e-12)


def test_the_strongest_of_each_tiles_weighted_waves() -> None:
    rng = np.random.default_rng(6)
    waves = rng.random((12, 64, 33), np.float32)
    weight = np.where(rng.random((64, 33)) > 0.6, rng.random((64, 33)), 0).astype(np.float32)
    rows = np.array([0, 3, 40, 63])
    best = np.empty(12, np.float32)
    counts = np.ascontiguousarray(weight[rows, 5:20])
    strongest_waves(waves, rows, 5, counts, np.empty(15, np.float32), best)
    assert np.array_equal(best, (waves[:, rows, 5:20] * counts).max(axis=(1, 2)))
    strongest_waves(waves, rows, 5, np.zeros_like(counts), np.empty(15, np.float32), best)
    assert not best.any()
