"""Register marks of two inks as printed out of register and scanned, made up, one at a time."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from separations.uses.calibration.register_marks import SQUARE_MM, squares_mm
from separations.uses.calibration.sheet_marks import MARK_MM
from separations.uses.press_scan.register_reading import AROUND_MM
from tests.made_up_scans import SOLIDS, WOOD


@dataclass(frozen=True, kw_only=True)
class ScannedMark:
    """How a mark is printed and scanned: shifts in mm, blur in pixels of the scan."""

    inks: tuple[str, str]
    shift_mm: tuple[float, float]
    place_mm: tuple[float, float] = (0.0, 0.0)
    turn_deg: float = 0.0
    ppi: float = 600.0
    spread_mm: float = 0.03
    grain: float = 0.03
    noise: float = 0.004
    blur_px: float = 0.7
    slope: float = 0.05
    seed: int = 1


def scanned_mark(mark: ScannedMark) -> NDArray[np.float32]:
    """Linear light of the mark and what is round it, shape (pixels, pixels, 3)."""
    random = np.random.default_rng(mark.seed)
    whole = MARK_MM + 2 * AROUND_MM
    side = round(whole * mark.ppi / 25.4)
    per_mm = side / whole
    y, x = ((np.mgrid[0:side, 0:side] + 0.5) / per_mm - AROUND_MM).astype(np.float32)
    seen = np.ones((side, side, 3), np.float32)
    turn = np.radians(mark.turn_deg)
    for ink, first in zip(mark.inks, (True, False), strict=True):
        over, down = np.add(mark.place_mm, (0.0, 0.0) if first else mark.shift_mm)
        u, v = x - over - MARK_MM / 2, y - down - MARK_MM / 2
        if not first:
            u, v = u * np.cos(turn) - v * np.sin(turn), u * np.sin(turn) + v * np.cos(turn)
        u, v = u + MARK_MM / 2, v + MARK_MM / 2
        for left, top in squares_mm(first_ink=first):
            # how much of each pixel the square covers
            half = SQUARE_MM / 2 + mark.spread_mm
            across, along = (np.clip((half - np.abs(way - first_edge - SQUARE_MM / 2)) * per_mm
                                     + 0.5, 0.0, 1.0) for way, first_edge in ((u, left), (v, top)))
            seen *= 1 - (across * along)[:, :, None] * (1 - np.array(SOLIDS[ink], np.float32))
    fibres = random.normal(0, 1, (max(2, side // 40), side)).astype(np.float32)
    fibres = cv2.GaussianBlur(fibres, (0, 0), sigmaX=0.25 * mark.ppi / 25.4, sigmaY=0.5)
    figure = cv2.resize(fibres / fibres.std(), (side, side))
    seen = seen * (1 + mark.grain * figure[:, :, None]) * WOOD.astype(np.float32)
    slope = 1 - mark.slope * np.linspace(0, 1, side, dtype=np.float32)
    seen = cv2.GaussianBlur(seen * slope[:, None], (0, 0), mark.blur_px)
    return np.asarray(seen + random.normal(0, mark.noise, seen.shape), np.float32)
