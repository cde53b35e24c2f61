"""Paint the demo's picture of an estuary and a heath, and draw its line work; all invented.

``python demo_art/painting/paint_landscape.py`` writes both pictures anew.
"""

from __future__ import annotations

import struct
import sys
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms

sys.path.append(str(Path(__file__).resolve().parents[1]))  # run as a script, find demo_art

from demo_art.painting.darkroom import develop
from demo_art.painting.foreground import draw_foreground
from demo_art.painting.ground import Ground
from demo_art.painting.map_lines import SHEET_MM, SHEET_PPI, draw_map
from demo_art.painting.sky import Sky, sky_plate
from demo_art.painting.terrain import HORIZON, PICTURE_SPAN, Terrain

FOLDER = Path(__file__).resolve().parents[1]
PHOTO_PATH = FOLDER / "estuary_and_heath.jpg"
LINES_PATH = FOLDER / "estuary_lines.png"
PHOTO_PX = (12_000, 2_400)
JPEG_FINEST_STEP, JPEG_STEP_RISE = 2.0, 4.0
LEAST_HEIGHT_PX = 480
STRIP_PX = 1000
SEED = 158


def paint(width_px: int, height_px: int, seed: int = SEED) -> NDArray[np.uint8]:
    """Paint the landscape at any size; the composition does not depend on it.

    Parameters
    ----------
    width_px, height_px : int
        Size; meant for five to one.
    seed : int
        Same seed and size, same bytes.

    Returns
    -------
    ndarray, shape (height_px, width_px, 3), uint8
        sRGB.
    """
    if height_px < LEAST_HEIGHT_PX:  # strokes have a least width, so paint larger and shrink
        times = -(-LEAST_HEIGHT_PX // height_px)
        large = paint(width_px * times, height_px * times, seed)
        small: NDArray[np.uint8] = cv2.resize(large, (width_px, height_px),
                                              interpolation=cv2.INTER_AREA)
        return small
    picture = _backdrop(width_px, height_px, seed)
    draw_foreground(picture, seed)
    return develop(picture, seed)


def _backdrop(width_px: int, height_px: int, seed: int) -> NDArray[np.uint8]:
    sky, terrain = Sky(seed), Terrain(seed)
    ground = Ground(terrain, sky_plate(sky), seed)
    v_line = ((np.arange(height_px, dtype=np.float32) + 0.5) / height_px).astype(np.float32)
    picture = np.empty((height_px, width_px, 3), np.uint8)
    for first in range(0, width_px, STRIP_PX):
        columns = np.arange(first, min(first + STRIP_PX, width_px), dtype=np.float32)
        u_line = ((columns + 0.5) * (PICTURE_SPAN / width_px)).astype(np.float32)
        seen = terrain.seen_distance_m(u_line, v_line, max(500, int(height_px * 0.7)))
        u, v = np.meshgrid(u_line, v_line)
        strip = np.zeros((*u.shape, 3), np.float32)
        skyline = int(np.ceil((HORIZON + 0.01) * height_px))
        above, below = slice(0, skyline), slice(int(np.argmax((seen > 0).any(axis=1))), None)
        strip[above] = sky.hills(sky.colour(u[above], v[above]), u[above], v[above])
        hit = seen[below] > 0
        earth = ground.colour(u[below], v[below], np.maximum(seen[below], 9.0))
        strip[below] = np.where(hit[..., None], earth, strip[below])
        picture[:, first:first + len(columns)] = np.clip(strip * 255.0 + 0.5, 0, 255)
    return picture


def srgb_profile() -> bytes:
    """An sRGB profile, with its date of making fixed so that it is the same at each call."""
    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    profile[24:36] = struct.pack(">6H", 2026, 1, 1, 0, 0, 0)
    return bytes(profile)


def _quantisation_steps() -> list[list[int]]:
    """JPEG steps for lightness and colour: fine for slow changes (the sky), coarse for detail.

    Our own rule, tuned by eye for a file below three megabytes without stairs in the sky.
    """
    rise = np.hypot(*np.indices((8, 8))) ** 1.5 * JPEG_STEP_RISE
    tables = (JPEG_FINEST_STEP + rise, 1.6 * JPEG_FINEST_STEP + 2.4 * rise)
    return [np.rint(np.minimum(table, 255)).astype(int).ravel().tolist() for table in tables]


def write_photo(path: Path) -> None:
    """Paint the picture at full size and write it as a JPEG with its profile."""
    picture = Image.fromarray(paint(*PHOTO_PX))
    ppi = round(PHOTO_PX[0] / (SHEET_MM[0] / 25.4))
    picture.save(path, qtables=_quantisation_steps(), subsampling="4:2:0", optimize=True,
                 progressive=True, icc_profile=srgb_profile(), dpi=(ppi, ppi))


def write_lines(path: Path) -> None:
    """Draw the line work at full size and write it as a grey PNG."""
    Image.fromarray(draw_map(SEED)).save(path, compress_level=9, dpi=(SHEET_PPI, SHEET_PPI))


if __name__ == "__main__":
    write_photo(PHOTO_PATH)
    write_lines(LINES_PATH)
