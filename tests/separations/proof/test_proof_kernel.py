"""The compiled drawing of a proof against plain sums over whole arrays."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from shapely.geometry import Polygon

from preflight.board.area_mask import coverage_mask
from preflight.frames.raster_grid import RasterGrid, grid_over
from separations.colour.colorimetry import lab_to_xyz, xyz_to_srgb
from separations.colour.display import srgb_coding
from separations.colour.print_model import CURVE_ENTRIES, PrintModel
from separations.proof.proof_kernel import add_fibres
from separations.proof.soft_proof import LIGHTER, ProofModels, board_proof, shadow, surroundings
from separations.proof.wood_figure import bamboo_figure

BOARD = Polygon([(-70.0, -30.0), (-40.0, -38.0), (60.0, -30.0), (66.0, 5.0), (50.0, 34.0),
                 (-64.0, 30.0)])
GRID = grid_over((-75.0, -42.0, 75.0, 42.0), 0.4)


def models(kind: str) -> ProofModels:
    rng = np.random.default_rng(5)
    bends = rng.uniform(0.7, 1.4, (3, 1, 1) if kind == "one curve" else (3, 3, 1))
    curves = np.linspace(0.0, 1.0, CURVE_ENTRIES) ** np.broadcast_to(bends, (3, 3, 1))
    wood = PrintModel(ink_names=("a", "b", "c"), primaries_rgb=rng.uniform(0.02, 0.8, (8, 3)),
                      measured=np.ones(8, np.bool_), curves=curves, n=np.full(3, 2.0),
                      spread=np.empty((0, 3)))
    lighter = replace(wood, primaries_rgb=wood.primaries_rgb * rng.uniform(1.0, LIGHTER, (8, 3)))
    if kind == "one curve":
        return ProofModels(wood=wood, estimate=wood, lighter_wood=lighter)
    measured = replace(wood, curves=curves**1.1, n=np.array([2.0, 1.6, 2.4]),
                       spread=rng.uniform(-0.2, 0.2, (24, 3)))
    return ProofModels(wood=measured, estimate=wood, lighter_wood=lighter)


def plain_proof(planes: NDArray[np.uint16], seen: ProofModels, seed: int) -> NDArray[np.float64]:
    """The picture before it is rounded, nose up."""
    tones = planes.transpose(1, 2, 0) / 65_535
    inside = coverage_mask(BOARD, GRID) / 65_535
    reach = 9.0 / GRID.pixel_mm
    shade = cv2.GaussianBlur(np.roll(inside, round(reach / 3), axis=1), (0, 0), reach / 2)
    through = seen.lighter_wood.predict_xyz(tones) - seen.estimate.predict_xyz(tones)
    swell = (bamboo_figure(GRID, seed).astype(np.float64) - 1) / (LIGHTER - 1)
    board = seen.wood.predict_xyz(tones) + through * swell[..., None]
    table = lab_to_xyz([93.0, 0.0, 2.0]) * (1 - 0.28 * shade[..., None])
    return xyz_to_srgb(board * inside[..., None] + table * (1 - inside[..., None])) * 255


@pytest.mark.parametrize("kind", ["one curve", "a curve for each channel"])
def test_a_proof_is_the_plain_sums(kind: str) -> None:
    planes = np.random.default_rng(6).integers(0, 65_536, (3, GRID.rows, GRID.columns),
                                               dtype=np.uint16)
    planes[:, :40] = 0
    drawn = np.rot90(board_proof(planes, models(kind), surroundings(GRID, BOARD, 4)), k=1)
    plain = plain_proof(planes, models(kind), 4)
    off = np.abs(drawn - plain)
    assert off.max() < 1.1
    assert (off < 0.5).mean() > 0.97  # rounded to the nearest level but for the table's steps


@pytest.mark.parametrize("columns", [237, 1310])
def test_the_shadow_is_the_whole_blur_wherever_it_shows(columns: int) -> None:
    inside = np.zeros((1400, columns), np.float32)
    inside[150:1290, 30:-40] = 1
    inside[400:900, 30:60] = np.linspace(0, 1, 30, dtype=np.float32)
    inside[700, 120] = 0.5  # a hole far from the rim
    reach = 35.4
    whole = cv2.GaussianBlur(np.roll(inside, round(reach / 3), axis=1), (0, 0), reach / 2)
    found = shadow(inside, reach)
    assert np.allclose(found[inside < 1], whole[inside < 1], atol=1e-6)
    assert (inside < 1).mean() < 0.6


def test_levels_are_within_one_of_the_exact_ones() -> None:
    coding = srgb_coding()
    assert srgb_coding() is coding
    xyz = np.random.default_rng(8).uniform(0.0, 0.9, (5000, 3))
    linear = np.clip(xyz @ coding.to_linear.T, 0, 1) * (len(coding.codes) - 1)
    coded = coding.codes[np.rint(linear).astype(np.int64)]
    assert np.abs(coded - xyz_to_srgb(xyz) * 255).max() < 1.1


def test_fibres_are_read_between_the_tiles_rows() -> None:
    rng = np.random.default_rng(2)
    columns = rng.standard_normal((17, 60)).astype(np.float32)
    columns[-1] = columns[0]
    along = np.linspace(-40.0, 40.0, 200).astype(np.float32)
    ends, shifts = np.array([0, 25, 26, 60]), np.array([0.0, 3.25, 15.9], np.float32)
    figure = np.ones((200, 60), np.float32)
    add_fibres(columns, along, ends, shifts, np.float32(0.5), figure)
    strip = np.repeat([0, 1, 2], np.diff(ends))
    for column in range(60):
        places = np.mod(along + shifts[strip[column]], 16)
        plain = 1 + 0.5 * np.interp(places, np.arange(17), columns[:, column])
        assert np.allclose(figure[:, column], plain, atol=1e-4)


def test_a_board_beside_the_grid_leaves_the_table() -> None:
    grid = RasterGrid(top_x_mm=400.0, left_y_mm=300.0, pixel_mm=0.5, rows=70, columns=90)
    drawn = board_proof(np.zeros((3, 70, 90), np.uint16), models("one curve"),
                        surroundings(grid, BOARD, 1))
    assert drawn.shape == (90, 70, 3)
    assert len(np.unique(drawn.reshape(-1, 3), axis=0)) == 1
