"""Our float reading of ICC profiles against LittleCMS, on profiles that others made.

Profiles: Debian package ``icc-profiles-free`` (zlib licence), share/color/icc: sRGB.icc,
compatibleWithAdobeRGB1998.icc, LStar-RGB.icc, Gray.icc, Gray-CIE_L.icc. Oracle: LittleCMS through
Pillow's ImageCms, relative colorimetric to CIELAB D50 in 8 bits (L* in steps of 0.39, a* and b*
of 1). Ours must agree within that rounding.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageCms

from preflight.art.icc_profile import read_profile
from preflight.art.source_colour import colour_of_profile

FOLDER = Path("/usr/share/color/icc")
pytestmark = pytest.mark.skipif(not FOLDER.exists(), reason="icc-profiles-free is not installed")


def lcms_lab(path: Path, values: NDArray[np.float64], mode: str) -> NDArray[np.float64]:
    transform = ImageCms.buildTransform(
        str(path), ImageCms.createProfile("LAB", 5000), mode, "LAB",
        ImageCms.Intent.RELATIVE_COLORIMETRIC, ImageCms.Flags.NOOPTIMIZE)
    picture = ImageCms.applyTransform(Image.fromarray(values.astype(np.uint8)), transform)
    assert picture is not None
    lightness, a, b = np.moveaxis(np.asarray(picture)[0], -1, 0)
    return np.stack([lightness * (100 / 255), a.view(np.int8), b.view(np.int8)], axis=-1)


@pytest.mark.parametrize("name", ["sRGB.icc", "compatibleWithAdobeRGB1998.icc", "LStar-RGB.icc"])
def test_rgb_profiles_agree_with_littlecms(name: str) -> None:
    steps = np.linspace(0, 255, 18).round()
    cube = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), -1).reshape(-1, 3)
    colour = colour_of_profile(read_profile((FOLDER / name).read_bytes()), name)
    assert colour is not None
    ours = colour.lab(cube / 255)
    theirs = lcms_lab(FOLDER / name, cube[None], "RGB")
    in_range = (np.abs(ours[:, 1:]) < 126).all(axis=1)  # 8-bit a* and b* end at 127
    difference = np.abs(ours - theirs)[in_range]
    assert in_range.mean() > 0.9
    assert (difference.max(axis=0) <= (0.45, 0.9, 0.9)).all()
    assert (difference.mean(axis=0) <= (0.15, 0.3, 0.3)).all()


@pytest.mark.parametrize("name", ["Gray.icc", "Gray-CIE_L.icc"])
def test_grey_profiles_agree_with_littlecms(name: str) -> None:
    steps = np.arange(256.0)
    colour = colour_of_profile(read_profile((FOLDER / name).read_bytes()), name)
    assert colour is not None
    ours = colour.lab(np.repeat(steps[:, None], 3, axis=1) / 255)
    theirs = lcms_lab(FOLDER / name, steps[None], "L")
    assert np.abs(ours - theirs)[:, 0].max() <= 0.45
    assert np.abs(ours[:, 1:]).max() < 0.02
