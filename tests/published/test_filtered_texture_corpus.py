"""Marks of noise filters on open photographs.

The photographs are those that ship inside the scikit-image wheel (``skimage/data``; S. van der
Walt et al. 2014, "scikit-image: image processing in Python", PeerJ 2:e453), and the filters are
OpenCV's (G. Bradski 2000, "The OpenCV Library"). The rule was fitted on astronaut, coffee, brick,
grass, the Hubble deep field and photographs of Debian's mate-backgrounds and
lomiri-wallpapers-16.04; its bound and its limit were then set so that no untouched one of 36
pictures alarms, those below among them: no alarm is by construction there, the share found is not.

By hand, November 2026, on the 36 pictures: no alarm among 252 untouched ones (as they are, with
noise of 2 levels, JPEG 92, 80 and 70, blurred, enlarged). Found on the 19 that the fit did not
see: non-local means of strength 6 47 % and 10 58 %, bilateral 30 37 % and 50 47 %, median of 5
42 % and of 3 32 %; of the six small ones below 4 in 18. What is missed has little weak texture.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
import pytest
import skimage
from numpy.typing import NDArray
from PIL import Image

from preflight.photo_quality.detail_windows import picture_tiles
from preflight.photo_quality.filtered_texture import filtered_texture

Picture = NDArray[np.uint8]
NAMES = ("camera.png", "chelsea.png", "rocket.jpg", "motorcycle_left.png", "coins.png", "ihc.png")
FILTERS: dict[str, Callable[[Picture], Picture]] = {
    "non-local": lambda p: np.asarray(
        cv2.fastNlMeansDenoisingColored(p, None, 10, 10, 7, 15), np.uint8),
    "bilateral": lambda p: np.asarray(cv2.bilateralFilter(p, 9, 50, 5), np.uint8),
    "median": lambda p: np.asarray(cv2.medianBlur(p, 5), np.uint8),
}


def photograph(name: str) -> Picture:
    with Image.open(Path(skimage.__file__).parent / "data" / name) as image:
        return np.ascontiguousarray(image.convert("RGB"))[:600, :800]


def marks(colour: Picture) -> float:
    grey = np.asarray(cv2.cvtColor(colour, cv2.COLOR_RGB2GRAY), np.uint8)
    return filtered_texture(grey, picture_tiles(*grey.shape)).marks


def jpeg(picture: Picture, quality: int) -> Picture:
    coded = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    return np.asarray(cv2.imdecode(coded, cv2.IMREAD_COLOR), np.uint8)


@pytest.mark.parametrize("name", NAMES)
def test_untouched_photographs_bear_no_marks(name: str) -> None:
    picture = photograph(name)
    blurred = np.asarray(cv2.GaussianBlur(picture, (0, 0), 1.0), np.uint8)
    for one in (picture, blurred, *(jpeg(picture, quality) for quality in (92, 80, 70))):
        assert marks(one) <= 1


def test_some_filtered_photographs_bear_them() -> None:
    found = [marks(done(photograph(name))) > 1 for done in FILTERS.values() for name in NAMES]
    assert sum(found) >= 3
