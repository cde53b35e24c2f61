"""What the stencil's walls add: the share of ink near a rim, held against discs drawn in pixels."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from preflight.press.halftone_spec import HalftoneSpec
from preflight.press.mesh import Mesh
from separations.ink_need.ink_estimate import TRANSFER
from separations.ink_need.stencil_build_up import OVER_MESH, build_up_um, edge_share

MESH = Mesh(threads_per_cm=120, thread_um=34)
SPEC = HalftoneSpec(ruling_lpcm=45 / 2.54, angle_deg=22.5, dot_shape="round", film_dpi=1440)


@pytest.mark.parametrize("tone", [0.02, 0.1, 0.3, 0.5, 0.7, 0.9, 0.98])
def test_the_share_near_a_rim_is_that_of_discs_and_holes_drawn_in_pixels(tone: float) -> None:
    side = 600
    y, x = np.mgrid[0:side, 0:side] - (side - 1) / 2
    away = np.hypot(x, y)
    share = min(tone, 1 - tone)
    disc = away <= side * np.sqrt(share / np.pi)
    inked = disc if tone <= 0.5 else ~disc
    # The cell repeats, so that walls of the cells beside count too.
    tiled = np.tile(inked, (3, 3)).astype(np.uint8)
    to_wall = cv2.distanceTransform(tiled, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    middle = slice(side, 2 * side)
    reach_um = MESH.pitch_um
    reach_px = reach_um / (1e4 / SPEC.ruling_lpcm) * side
    near = (to_wall[middle, middle] <= reach_px) & inked
    found = float(edge_share(np.array([tone]), SPEC, reach_um)[0])
    assert found == pytest.approx(near.sum() / inked.sum(), abs=0.02)


def test_solids_and_bare_wood_have_no_walls() -> None:
    assert edge_share(np.array([0.0, 1.0]), SPEC, 80.0).tolist() == [0.0, 0.0]
    for tone in (0, 65_535):
        plane = np.full((40, 30), tone, np.uint16)
        assert build_up_um(plane, SPEC, MESH).high == 0


def test_small_dots_carry_the_whole_height_and_larger_ones_less() -> None:
    tones = [np.full((9, 9), round(share * 65_535), np.uint16) for share in (0.03, 0.2, 0.5, 0.9)]
    added = [build_up_um(plane, SPEC, MESH).likely for plane in tones]
    assert added == sorted(added, reverse=True)
    assert added[0] == pytest.approx(OVER_MESH[1] * MESH.thickness_um * TRANSFER[1], rel=0.15)
    finer = replace(SPEC, ruling_lpcm=2 * SPEC.ruling_lpcm)
    assert build_up_um(tones[2], finer, MESH).likely > added[2]


def test_a_measured_height_is_taken_and_bare_places_do_not_count() -> None:
    plane = np.zeros((100, 100), np.uint16)
    plane[:10] = 20_000
    alone, given = build_up_um(plane[:10], SPEC, MESH), build_up_um(plane, SPEC, MESH, 12.0)
    assert build_up_um(plane, SPEC, MESH) == alone
    assert given.likely == pytest.approx(
        alone.likely * 12 / (OVER_MESH[1] * MESH.thickness_um))
    assert given.low == 0
