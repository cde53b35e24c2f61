"""How near prints look to photographs, beside two published reference mappings.

Prints the table that DEVELOPERS.md quotes. Photographs are those that scikit-image carries and the
demo's own; scikit-learn's and those under /usr/share/backgrounds (Debian's mate-backgrounds and
lomiri-wallpapers-16.04) join in where they are installed. Run with
``pytest tests/benchmarks/bench_seen.py -s``.

Yardstick, our own words for published steps: an eye half adapted to the wood (Bradford matrix, the
print's darkest colour taken for black), L* blurred by 1.2 and a*, b* by 3 of 100 pixels an inch,
then CIEDE2000, hue, chroma and structural similarity. References: HPMINDE and SGCK of CIE 156:2004,
from memory, in CIELAB of the same eye; the sigmoid's constants as tabled for L* 15.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from scipy.interpolate import RegularGridInterpolator
from scipy.ndimage import gaussian_filter
from skimage.metrics import structural_similarity

from separations.colour.adaptation import PrintViewer, print_viewer
from separations.colour.colorimetry import (
    D50_XYZ,
    colour_difference,
    lab_to_xyz,
    wide_rgb_to_xyz,
    xyz_to_lab,
    xyz_to_wide_rgb,
)
from separations.colour.gamut_surface import TriangleSurface, reach_on_level, surface_tones
from separations.colour.hue_space import lpt_to_xyz
from separations.colour.ink_colours import print_model, process_ink
from separations.colour.ink_reach import InkReach, ink_reach, seen_lpt
from separations.colour.inversion import end_colours, seed_tones
from separations.colour.print_model import PrintModel, predict_image_lab
from separations.planes.ink_lattice import build_ink_lattice
from separations.planes.separation import separate
from tests.colour_samples import BAMBOO_LAB, PROCESS_INK_NAMES, srgb_to_lab

FloatArray = NDArray[np.float64]

MODEL = print_model(BAMBOO_LAB, [process_ink(name) for name in PROCESS_INK_NAMES])
LIMIT, ADAPTATION, PIXEL_MM, WIDTH = 2.6, 0.5, 0.254, 480
WHITE, BLACK = end_colours(seed_tones(MODEL, LIMIT))
STEPS = np.linspace(0.0, 1.0, 33)
NODES = srgb_to_lab(np.stack(np.meshgrid(STEPS, STEPS, STEPS, indexing="ij"), axis=-1))
BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367],
                     [0.0389, -0.0685, 1.0296]])
DEMO = Path(__file__).parents[2] / "demo_art" / "estuary_and_heath.jpg"
BACKGROUNDS = Path("/usr/share/backgrounds")
CARRIED = ("astronaut.png", "chelsea.png", "coffee.png", "motorcycle_left.png", "rocket.jpg")


def photographs() -> Iterator[tuple[str, NDArray[np.uint8]]]:
    """Names and sRGB pixels, at most 480 wide."""
    paths = [DEMO]
    for package, folder, names in (("skimage", "data", CARRIED),
                                   ("sklearn", "datasets/images", ("china.jpg", "flower.jpg"))):
        spec = find_spec(package)
        if spec and spec.origin:
            paths += [Path(spec.origin).parent / folder / name for name in names]
    paths += sorted((BACKGROUNDS / "mate" / "nature").glob("*.jpg"))
    paths += sorted(BACKGROUNDS.glob("*_by_*.jpg"))
    for path in paths:
        if path.exists():
            picture = Image.open(path).convert("RGB")
            picture.thumbnail((WIDTH, WIDTH))
            yield path.stem[:14], np.asarray(picture)
    down = np.linspace(0.0, 1.0, 240)[:, None, None]
    yield "made-up sky", np.rint((1 - down) * [40, 100, 185] + down * [236, 242, 248]
                                 + np.zeros((1, 320, 1))).astype(np.uint8)


def figures(photo: FloatArray, printed: FloatArray) -> tuple[float, float, float, float]:
    """Blurred dE00, hue shift (degrees), chroma kept, similarity of L*."""
    looks = seen(printed)
    blurred = [np.stack([gaussian_filter(lab[..., axis], sigma) for axis, sigma in
                         enumerate((1.2, 3.0, 3.0))], axis=-1) for lab in (photo, looks)]
    chroma, kept = (np.hypot(lab[..., 1], lab[..., 2]) for lab in (photo, looks))
    turn = np.arctan2(looks[..., 2], looks[..., 1]) - np.arctan2(photo[..., 2], photo[..., 1])
    vivid = chroma > 20.0
    similar: Any = structural_similarity(photo[..., 0], looks[..., 0], data_range=100,
                                         gaussian_weights=True, sigma=1.5)
    return (float(colour_difference(*blurred).mean()),
            float(np.degrees(np.abs(np.angle(np.exp(1j * turn[vivid])))).mean()),
            float(np.median(kept[vivid] / chroma[vivid])), float(similar))


def seen(printed: FloatArray) -> FloatArray:
    """A print as the yardstick's eye sees it."""
    wood, black = lab_to_xyz(WHITE), lab_to_xyz(BLACK)
    white = ADAPTATION * wood / wood[1] + (1 - ADAPTATION) * D50_XYZ
    gains = (BRADFORD @ white) / (BRADFORD @ D50_XYZ) * wood[1]
    back = np.linalg.inv(np.linalg.inv(BRADFORD) @ np.diag(gains) @ BRADFORD)
    floor = black[1] / wood[1]
    return xyz_to_lab(np.maximum((lab_to_xyz(printed) @ back.T - floor * D50_XYZ) / (1 - floor),
                                 1e-5))


class Leaves:
    """Greatest C* by L* and hue about neutral, in CIELAB as the eye sees it."""

    levels = np.linspace(0.0, 100.0, 101)
    hues = np.radians(np.arange(0.0, 361.0, 5.0))
    chroma: FloatArray

    def __init__(self, model: PrintModel, viewer: PrintViewer) -> None:
        tones = surface_tones(model.ink_count, LIMIT)
        lab = xyz_to_lab(np.maximum(viewer.seen_xyz(model.predict_lab(tones.points)), 0.0))
        surface = TriangleSurface(points=lab, triangles=tones.triangles).by_level()
        self.chroma = np.array([reach_on_level(surface, float(level), np.zeros(2), self.hues)
                                for level in self.levels])

    def of(self, hue: FloatArray) -> FloatArray:
        """Chroma at every level, shape (N, 101)."""
        table = RegularGridInterpolator((self.hues,), self.chroma.T)
        return np.asarray(table((hue % (2 * np.pi))[:, None]))


class BareWhite(Leaves):
    """The same about the greys of the product, whose white is bare wood, in its hue space."""

    def __init__(self, reach: InkReach) -> None:
        self.levels, self.hues, self.chroma = reach.levels, reach.hues, reach.chroma
        self.chroma[-1] = 1e-6
        self.reach = reach

    def printed(self, lpt: FloatArray) -> FloatArray:
        """Lab D50 of a print that is seen so."""
        greys = [np.interp(lpt[:, 0], self.levels, self.reach.greys[:, axis]) for axis in (0, 1)]
        return self.reach.viewer.print_lab(lpt_to_xyz(
            lpt + np.stack([np.zeros(len(lpt)), *greys], axis=1)))


def nearest(lab: FloatArray, leaves: Leaves) -> FloatArray:
    """HPMINDE: hue kept, the nearest printable lightness and chroma."""
    light, chroma = lab[:, 0], np.hypot(lab[:, 1], lab[:, 2])
    hue = np.arctan2(lab[:, 2], lab[:, 1])
    reach = leaves.of(hue)
    own = np.array([np.interp(one, leaves.levels, row)
                    for one, row in zip(light, reach, strict=True)])
    away = (leaves.levels - light[:, None]) ** 2 + np.maximum(chroma[:, None] - reach, 0.0) ** 2
    away[reach <= 0.0] = np.inf
    place = away.argmin(axis=1)
    out = (chroma > own) | (own <= 0.0)
    new_light = np.where(out, leaves.levels[place], light)
    new_chroma = np.where(out, np.minimum(chroma, reach[np.arange(len(place)), place]), chroma)
    return np.stack([new_light, new_chroma * np.cos(hue), new_chroma * np.sin(hue)], axis=1)


def sigmoid_and_knee(lab: FloatArray, leaves: Leaves) -> FloatArray:
    """SGCK: lightness by a sigmoid, less where chroma is high, then lines to the cusp."""
    steps = np.arange(101.0)
    summed = np.cumsum(np.exp(-((steps - 58.2) ** 2) / (2 * 35.0**2)))
    curve = (summed - summed[0]) / (summed[-1] - summed[0]) * 100.0
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    hue = np.arctan2(lab[:, 2], lab[:, 1])
    share = 1.0 - np.sqrt(chroma**3 / (chroma**3 + 5e5))
    light = (1.0 - share) * lab[:, 0] + share * np.interp(lab[:, 0], steps, curve)
    reach = leaves.of(hue)
    cusp = leaves.levels[reach.argmax(axis=1)]
    along = np.linspace(0.0, 1.0, 201)
    ways = cusp[:, None] + along * (light - cusp)[:, None]
    row = np.arange(len(light))[:, None]
    within = along * chroma[:, None] <= reach[row, np.clip(np.rint(ways), 0, 100).astype(int)]
    last = along[np.maximum(within.cumprod(axis=1).sum(axis=1) - 1, 0)]
    # what lies beyond nine tenths of the way is pressed into the last tenth
    knee = 0.9 * last
    pressed = np.where(last < 1.0, knee + (1.0 - knee) * 0.1 * last / np.maximum(
        1.0 - knee, 1e-9), 1.0)
    light, chroma = cusp + pressed * (light - cusp), pressed * chroma
    return np.stack([light, chroma * np.cos(hue), chroma * np.sin(hue)], axis=1)


def former(lab: FloatArray) -> FloatArray:
    """White and black to those of the print in linear light, the eye wholly adapted: the start."""
    photo = xyz_to_wide_rgb(lab_to_xyz(lab))
    white, black = (xyz_to_wide_rgb(lab_to_xyz(end)) for end in (WHITE, BLACK))
    return xyz_to_lab(np.maximum(wide_rgb_to_xyz(black + photo * (white - black)), 0.0))


@pytest.mark.benchmark
def test_how_near_prints_look() -> None:
    viewer = print_viewer(WHITE, BLACK, ADAPTATION)
    leaves, flat = Leaves(MODEL, viewer), NODES.reshape(-1, 3)
    bare = BareWhite(ink_reach(MODEL, LIMIT, (WHITE, BLACK), ADAPTATION))
    lattice = build_ink_lattice(MODEL, NODES, tone_sum_limit=LIMIT, black_ink=3)
    ways: dict[str, Any] = {
        "wholly adapted": former(NODES),
        "HPMINDE": viewer.print_lab(lab_to_xyz(nearest(flat, leaves))).reshape(NODES.shape),
        "HPMINDE, white bare": bare.printed(nearest(
            seen_lpt(flat), bare)).reshape(NODES.shape),
        "SGCK": viewer.print_lab(lab_to_xyz(sigmoid_and_knee(flat, leaves))).reshape(NODES.shape)}
    found: dict[str, list[tuple[float, ...]]] = {name: [] for name in (*ways, "balanced")}
    for name, rgb in photographs():
        photo = srgb_to_lab(rgb / 255.0)
        for way, nodes in ways.items():
            printed = RegularGridInterpolator((STEPS,) * 3, nodes)(rgb / 255.0)
            found[way].append(figures(photo, printed))
        planes = separate(rgb, lattice, pixel_mm=PIXEL_MM)
        found["balanced"].append(figures(photo, predict_image_lab(planes, MODEL).astype(float)))
        sys.stdout.write(f"{name:15s}" + "".join(
            f" | {one[-1][0]:5.2f} {one[-1][1]:5.1f} {one[-1][2]:4.2f} {one[-1][3]:5.3f}"
            for one in found.values()) + "\n")
    sys.stdout.write("mean dE00, hue, chroma, least SSIM: " + "; ".join(
        f"{way} {np.mean([f[0] for f in rows]):.2f} {np.mean([f[1] for f in rows]):.1f} "
        f"{np.mean([f[2] for f in rows]):.2f} {min(f[3] for f in rows):.3f}"
        for way, rows in found.items()) + "\n")
    mean = {way: np.mean([f[0] for f in rows]) for way, rows in found.items()}
    assert mean["balanced"] <= 0.65 * mean["wholly adapted"]
