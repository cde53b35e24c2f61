"""A small board with its art: what a whole run takes, in a second."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

SMALL_JOB = """
title = "Marsh light"
date = 2026-11-25
stage = "sheet"
boards = 3
[board]
name = "Small plank"
length = "30 cm"
contact_length = "20 cm"
nose_width = "8 cm"
waist_width = "7 cm"
tail_width = "7.8 cm"
[area]
bleed = "5 mm"
[[art]]
file = "photo.png"
turn = 90
[[art]]
file = "lines.png"
kind = "line"
ink = "Black"
turn = 90
[separation]
black_ink = "Black"
[halftone]
ruling = "45 lpi"
[mesh]
count = "120/cm"
thread = "34 um"
[film]
resolution = "600 dpi"
[frame]
inside_length = "60 cm"
inside_width = "40 cm"
[[ink]]
name = "Yellow"
colour = "process yellow"
angle = 7.5
heat_limit = "140 °C"
[[ink]]
name = "Magenta"
colour = "process magenta"
angle = 82.5
heat_limit = "140 °C"
[[ink]]
name = "Cyan"
colour = "process cyan"
angle = 22.5
heat_limit = "140 °C"
[[ink]]
name = "Black"
colour = "process black"
angle = 52.5
heat_limit = "140 °C"
"""


def small_photo(width: int = 1240, height: int = 360) -> NDArray[np.uint8]:
    """A smooth, colourful picture with detail: (height, width, 3) RGB."""
    y, x = np.mgrid[0:height, 0:width].astype(np.float32)
    red = 128 + 120 * np.sin(x / 90) * np.cos(y / 70)
    green = 255 * x / width
    blue = 128 + 100 * np.cos((x + 2 * y) / 60)
    return np.asarray(np.clip(np.dstack([red, green, blue]), 0, 255), np.uint8)


def small_lines(width: int = 2480, height: int = 720) -> NDArray[np.uint8]:
    """Dark strokes on white: (height, width) grey."""
    picture = np.full((height, width), 255, np.uint8)
    cv2.line(picture, (300, 200), (2000, 520), 0, 9, cv2.LINE_AA)
    cv2.circle(picture, (1200, 360), 110, 0, -1, cv2.LINE_AA)
    return picture


def write_small_job(folder: Path, *replacements: tuple[str, str]) -> Path:
    """Write the job and its art into a folder; replacements make its text another job."""
    folder.mkdir(exist_ok=True)
    text = SMALL_JOB
    for old, new in replacements:
        assert old in text, old
        text = text.replace(old, new)
    cv2.imwrite(str(folder / "photo.png"), small_photo()[:, :, ::-1])
    cv2.imwrite(str(folder / "lines.png"), small_lines())
    path = folder / "marsh.toml"
    path.write_text(text, encoding="utf-8")
    return path
